#include "ohmglow/acceptance.h"

#include "offered/results/findings_texts.h"
#include "ohmglow/version.h"
#include "records/files/json_values.h"
#include "records/results/findings_parts.h"

namespace ohmglow::records {
namespace {

using acceptance::Item;

OrderedJson item_json(const Item& item) {
  return {{"id", item.id()},
          {"title", plainly(title_of(item.check))},
          {"place", text_or_null(item.place)},
          {"has_places", item.has_parts},
          {"value", or_null(item.value)},
          {"unit", text_or_null(item.unit)},
          {"u", or_null(item.u)},
          {"limit", or_null(item.limit)},
          {"limit_is",
           item.limit ? OrderedJson(item.at_least ? "at_least" : "at_most") : OrderedJson()},
          {"result", rotor::id_of(item.result)},
          {"recorded_only", item.is_recorded_only},
          {"beyond", or_null(item.beyond())},
          {"why", text_or_null(plainly(item.why))},
          {"source", text_or_null(item.source)},
          {"flag", text_or_null(item.flag)},
          {"taken_at", or_null(item.taken_at)},
          {"cost", or_null(item.cost)}};
}

OrderedJson side_json(const std::optional<Item>& item) {
  if (!item) return {};
  return {{"result", rotor::id_of(item->result)}, {"value", or_null(item->value)},
          {"unit", text_or_null(item->unit)},     {"u", or_null(item->u)},
          {"limit", or_null(item->limit)},        {"recorded_only", item->is_recorded_only}};
}

OrderedJson change_json(const acceptance::ItemChange& change) {
  return {
      {"id", change.id}, {"before", side_json(change.before)}, {"after", side_json(change.after)}};
}

}  // namespace

OrderedJson shops_json(std::span<const acceptance::Compared> shops) {
  OrderedJson list = OrderedJson::array();
  for (const acceptance::Compared& shop : shops) {
    list.push_back({{"motor", shop.after.motor},
                    {"conclusion_before", id_of(shop.before.conclusion)},
                    {"conclusion_after", id_of(shop.after.conclusion)},
                    {"checks", list_of(compare(shop.before, shop.after), change_json)}});
  }
  return list;
}

std::string acceptance_json(const acceptance::Acceptance& its, const acceptance::Limits& limits) {
  const OrderedJson json{{"version", 1},
                         {"tool", {{"name", "ohmglow"}, {"version", kVersion}}},
                         {"motor", its.motor},
                         {"stage", id_of(its.stage)},
                         {"limits", {{"id", limits.id}, {"title", limits.title}}},
                         {"checks", list_of(its.items, item_json)},
                         {"conclusion", id_of(its.conclusion)},
                         {"cost", or_null(its.cost)},
                         {"currency", text_or_null(its.currency)}};
  return dumped_lines(json);
}

}  // namespace ohmglow::records
