#include "offered/results/work_orders.h"
#include "offered/tabular/tabular.h"
#include "ohmglow/reader.h"
#include "ohmglow/version.h"
#include "records/files/json_values.h"
#include "records/results/findings_parts.h"

#include <fmt/format.h>

namespace ohmglow::records {
namespace {

using diagnosis::Assessment;
using diagnosis::Finding;

/// What a row is made from.
struct Row {
  const Assessment& assessment;
  const WorkOrder& order;
  const Finding& finding;
  const Motor* motor;
};

std::optional<double> value_of(const std::optional<radiometry::Estimate>& estimate) {
  return estimate ? std::optional(estimate->value()) : std::nullopt;
}

/// A member of workorders.json, and the column of the same name of workorders.csv.
struct Field {
  std::string_view name;
  OrderedJson (*value)(const Row&);
};

constexpr std::array kFields{
    Field{"id", [](const Row& r) { return OrderedJson(r.order.id); }},
    Field{"summary", [](const Row& r) { return OrderedJson(r.order.summary); }},
    Field{"priority", [](const Row& r) { return OrderedJson(r.order.priority); }},
    Field{
        "due",
        [](const Row& r) { return r.order.due ? OrderedJson(date_text(*r.order.due)) : nullptr; }},
    Field{"due_days",
          [](const Row& r) { return r.order.rule ? OrderedJson(r.order.rule->days) : nullptr; }},
    Field{"due_source",
          [](const Row& r) {
            return r.order.rule ? text_or_null(r.order.rule->source) : OrderedJson();
          }},
    Field{"found_on", [](const Row& r) { return OrderedJson(date_text(r.order.found_on)); }},
    Field{"site", [](const Row& r) { return text_or_null(r.assessment.survey.site); }},
    Field{"motor", [](const Row& r) { return OrderedJson(r.finding.motor); }},
    Field{"motor_description",
          [](const Row& r) {
            return r.motor != nullptr ? text_or_null(r.motor->description) : OrderedJson();
          }},
    Field{"component", [](const Row& r) { return text_or_null(r.finding.component); }},
    Field{"phase", [](const Row& r) { return or_null(r.order.phase); }},
    Field{"phase_name",
          [](const Row& r) { return or_null(phase_name(r.assessment, r.order.phase)); }},
    Field{"lug", [](const Row& r) { return or_null(r.finding.lug); }},
    Field{"band", [](const Row& r) { return OrderedJson(r.assessment.band_id(r.finding.grade)); }},
    Field{"verdict", [](const Row& r) { return OrderedJson(diagnosis::id_of(r.finding.verdict)); }},
    Field{"action", [](const Row& r) { return OrderedJson(written(r.finding.action)); }},
    Field{"next_step", [](const Row& r) { return text_or_null(written(r.finding.next_step)); }},
    Field{"temperature_c", [](const Row& r) { return or_null(r.finding.temperature_c); }},
    Field{"rise_over_like_k",
          [](const Row& r) { return or_null(value_of(r.finding.rise_over_like)); }},
    Field{"rise_over_air_k",
          [](const Row& r) { return or_null(value_of(r.finding.rise_over_air)); }},
    Field{"projected_rise_k",
          [](const Row& r) {
            return r.finding.projected_rise ? plain(r.finding.projected_rise->rise) : OrderedJson();
          }},
    Field{"resistance_unbalance_pct",
          [](const Row& r) { return or_null(r.finding.resistance_unbalance); }},
    Field{"excess_ohm", [](const Row& r) { return or_null(r.finding.excess_ohm); }},
    Field{"criticality",
          [](const Row& r) {
            return r.motor != nullptr ? or_null(r.motor->criticality) : OrderedJson();
          }},
    Field{"repair_h",
          [](const Row& r) {
            return r.motor != nullptr ? or_null(r.motor->repair_h) : OrderedJson();
          }},
    Field{"image", [](const Row& r) { return or_null(r.finding.image); }},
};

Row row_of(const Assessment& assessment, const WorkOrder& order) {
  const Finding& finding = assessment.findings.at(order.findings.front());
  return {assessment, order, finding, assessment.survey.find_motor(finding.motor)};
}

std::string cell_of(const OrderedJson& value) {
  if (value.is_null()) return "";
  if (value.is_string()) return value.get<std::string>();
  // Nine digits are beyond every uncertainty; a spreadsheet shows no more.
  if (value.is_number_float()) return fmt::format("{:.9g}", value.get<double>());
  return value.dump();
}

OrderedJson ranks_json(const Row& row) {
  return list_of(row.order.findings, [&row](std::size_t finding) {
    return OrderedJson(row.assessment.findings.at(finding).rank);
  });
}

OrderedJson cautions_json(const Row& row) {
  return list_of(row.finding.cautions,
                 [](const Sentence& caution) { return OrderedJson(written(caution)); });
}

OrderedJson order_json(const Row& row) {
  OrderedJson json = OrderedJson::object();
  for (const Field& field : kFields) json[std::string(field.name)] = field.value(row);
  json["ranks"] = ranks_json(row);
  json["cautions"] = cautions_json(row);
  return json;
}

std::string joined(const OrderedJson& items, std::string_view between) {
  std::string text;
  for (const OrderedJson& item : items) {
    if (!text.empty()) text += between;
    text += cell_of(item);
  }
  return text;
}

}  // namespace

std::string work_orders_json(const Assessment& assessment, const std::vector<WorkOrder>& orders) {
  const OrderedJson json{{"version", 1},
                         {"tool", {{"name", "ohmglow"}, {"version", kVersion}}},
                         {"namespace", kWorkOrderNamespace},
                         {"policy", assessment.policy.id},
                         {"orders", list_of(orders, [&assessment](const WorkOrder& order) {
                            return order_json(row_of(assessment, order));
                          })}};
  return dumped_lines(json);
}

std::string work_orders_csv(const Assessment& assessment, const std::vector<WorkOrder>& orders) {
  std::vector<std::vector<std::string>> rows(1);
  for (const Field& field : kFields) rows.front().emplace_back(field.name);
  rows.front().insert(rows.front().end(), {"ranks", "cautions"});
  for (const WorkOrder& order : orders) {
    const Row row = row_of(assessment, order);
    std::vector<std::string>& cells = rows.emplace_back();
    for (const Field& field : kFields) cells.push_back(cell_of(field.value(row)));
    cells.push_back(joined(ranks_json(row), " "));
    cells.push_back(joined(cautions_json(row), " "));
  }
  return tabular::write_table(rows);
}

}  // namespace ohmglow::records
