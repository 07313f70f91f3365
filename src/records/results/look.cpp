#include "offered/results/findings_texts.h"
#include "records/files/json_values.h"

#include <algorithm>

namespace ohmglow::records {
namespace {

OrderedJson unit_json(TemperatureUnit unit) {
  return unit == TemperatureUnit::celsius ? "c" : "k";
}

OrderedJson declared_json(const Look& look) {
  if (const auto& whole = look.declaration) {
    return {{"scale", whole->scale},
            {"offset", whole->offset},
            {"unit", unit_json(whole->unit)},
            {"from", whole->from}};
  }
  const auto& found = look.image.embedded;
  if (!found) return {};
  return {{"scale", or_null(found->scale)},
          {"offset", or_null(found->offset)},
          {"unit", found->unit ? unit_json(*found->unit) : OrderedJson()},
          {"from", found->from}};
}

OrderedJson range_json(double min, double max, double mean) {
  return {{"min", min}, {"max", max}, {"mean", mean}};
}

OrderedJson stored_json(const imaging::Statistics& stored) {
  return stored.finite > 0 ? range_json(stored.min, stored.max, stored.mean) : OrderedJson();
}

OrderedJson temperature_json(const Look& look) {
  if (!look.declaration || look.stored.finite == 0) return {};
  const auto celsius = [&look](double stored) {
    return imaging::stored_to_celsius(stored, *look.declaration).value();
  };
  // A negative scale turns the order round.
  const auto [low, high] = std::minmax({celsius(look.stored.min), celsius(look.stored.max)});
  return range_json(low, high, celsius(look.stored.mean));
}

}  // namespace

std::string look_json(const std::optional<Look>& look, std::string_view file,
                      const std::vector<std::string>& problems) {
  const auto from_look = [&look](auto value_of) {
    return look ? OrderedJson(value_of(*look)) : OrderedJson();
  };
  const OrderedJson json{{"file", file},
                         {"format", from_look([](const Look& l) { return l.image.format; })},
                         {"width", from_look([](const Look& l) { return l.image.pixels.cols; })},
                         {"height", from_look([](const Look& l) { return l.image.pixels.rows; })},
                         {"dtype", from_look([](const Look& l) { return l.image.dtype; })},
                         {"pages", from_look([](const Look& l) { return l.image.pages; })},
                         {"declared", from_look(declared_json)},
                         {"stored", from_look([](const Look& l) { return stored_json(l.stored); })},
                         {"temperature_c", from_look(temperature_json)},
                         {"no_data", from_look([](const Look& l) { return l.stored.no_data; })},
                         {"problems", problems}};
  return dumped_lines(json);
}

}  // namespace ohmglow::records
