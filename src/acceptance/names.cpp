#include "ohmglow/acceptance.h"

#include <algorithm>
#include <array>

namespace ohmglow::acceptance {
namespace {

struct CheckName {
  std::string_view id;
  std::string_view title;
};
constexpr std::array<CheckName, kChecks> kNames{
    {{"nameplate", msg("nameplate against the order")},
     {"insulation_resistance", msg("insulation resistance at one minute, at 40 °C")},
     {"polarization_index", msg("polarization index")},
     {"winding_resistance", msg("winding resistance, farthest pair from the average")},
     {"impedance", msg("impedance, farthest pair from the average")},
     {"sweep", msg("inductance over one turn of the shaft")},
     {"air_gap", msg("air gap, largest deviation from the average")},
     {"runout", msg("shaft runout")},
     {"vibration", msg("vibration without load")},
     {"no_load_current", msg("current without load, farthest phase from the average")},
     {"connection_rise", msg("rise of the connections at test load")}}};
constexpr std::array<std::string_view, 3> kStages{"bought", "repaired", "installed"};
constexpr std::array<std::string_view, 3> kConclusions{"accept", "conditions", "reject"};

template <class Value>
std::size_t at(Value value) {
  return static_cast<std::size_t>(value);
}

}  // namespace

std::string_view id_of(Stage stage) {
  return kStages.at(at(stage));
}
std::string_view id_of(Check check) {
  return kNames.at(at(check)).id;
}
std::string_view id_of(Conclusion conclusion) {
  return kConclusions.at(at(conclusion));
}

std::optional<Check> check_named(std::string_view id) {
  const auto* found = std::find_if(kNames.begin(), kNames.end(),
                                   [id](const CheckName& name) { return name.id == id; });
  if (found == kNames.end()) return std::nullopt;
  return static_cast<Check>(found - kNames.begin());
}

std::optional<Stage> stage_named(std::string_view id) {
  const auto* found = std::find(kStages.begin(), kStages.end(), id);
  if (found == kStages.end()) return std::nullopt;
  return static_cast<Stage>(found - kStages.begin());
}

Sentence title_of(Check check) {
  return sentence(kNames.at(at(check)).title);
}

std::string Item::id() const {
  const std::string name(id_of(check));
  return place.empty() ? name : name + ":" + place;
}

std::optional<double> Item::beyond() const {
  if (!value || !limit) return std::nullopt;
  const double beyond = at_least ? *limit - *value : *value - *limit;
  return beyond > 0 ? std::optional(beyond) : std::nullopt;
}

std::size_t Acceptance::count(Conformity result) const {
  return static_cast<std::size_t>(std::count_if(items.begin(), items.end(), [=](const Item& item) {
    return item.result == result && !item.is_recorded_only && !item.has_parts;
  }));
}

}  // namespace ohmglow::acceptance
