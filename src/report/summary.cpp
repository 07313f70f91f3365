#include "summary.h"

#include <set>
#include <utility>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::Finding;
using diagnosis::ImageResult;
using diagnosis::LugResult;

std::size_t measured_lugs(const ImageResult& image) {
  std::size_t count = 0;
  for (const LugResult& lug : image.lugs) count += lug.temperature_c ? 1 : 0;
  return count;
}

std::size_t count_of(const std::map<std::size_t, std::size_t>& by_band, std::size_t band) {
  const auto at = by_band.find(band);
  return at == by_band.end() ? 0 : at->second;
}

ListCell count_cell(std::size_t count) {
  return {count == 0 ? "—" : std::to_string(count), 0, 0, count == 0};
}

std::string kind_of(const std::string& component) {
  return component.empty() ? tr("the circuit (readings alone)") : component;
}

}  // namespace

void Summary::add(const Assessment& a) {
  for (const diagnosis::ComponentResult& c : a.components) ++kinds_[kind_of(c.component)].seen;
  for (const Finding& f : a.findings) {
    if (!f.leads_case) continue;
    Kind& kind = kinds_[kind_of(f.component)];
    if (!f.grade.band) continue;
    ++kind.by_band[*f.grade.band];
    ++by_band_[*f.grade.band];
  }
  for (const diagnosis::MotorResult& motor : a.motors) readings_ += motor.electrical.size();
  motors_listed_ += a.survey.motors.size();
  add_images(a);
}

void Summary::add_images(const Assessment& a) {
  std::set<std::pair<std::string, std::string>> components;
  std::set<std::string> motors;
  for (const ImageResult& image : a.images) {
    const std::size_t measured = measured_lugs(image);
    lugs_ += measured;
    lugs_lost_ += image.lugs.size() - measured;
    if (measured == 0) continue;
    components.emplace(image.motor, image.component);
    motors.insert(image.motor);
  }
  components_measured_ += components.size();
  motors_measured_ += motors.size();
  const Counts counts = count_images(a);
  images_.measured += counts.measured;
  images_.unmarked += counts.unmarked;
  images_.rejected += counts.rejected;
}

std::vector<Tally> Summary::tallies(const severity::Policy& policy, std::size_t problems) const {
  std::vector<Tally> list;
  for (std::size_t i = policy.bands.size(); i-- > 0;) {
    list.push_back({count_of(by_band_, i), tr(policy.bands[i].title), band_level(policy, i)});
  }
  const auto add_count = [&list](std::size_t count, std::string_view one, std::string_view many) {
    list.push_back({count, tr(count == 1 ? one : many)});
  };
  add_count(images_.measured, msg("image measured"), msg("images measured"));
  add_count(images_.unmarked, msg("image without marks"), msg("images without marks"));
  add_count(images_.rejected, msg("image rejected"), msg("images rejected"));
  add_count(problems, msg("problem"), msg("problems"));
  return list;
}

Listing Summary::by_component(const severity::Policy& policy) const {
  Listing list{"by-component",
               tr("Cases of each band on each kind of component"),
               {{tr("Component"), 2.4}, {tr("Measured"), 1, true}},
               {},
               tr("No component was measured.")};
  for (std::size_t i = policy.bands.size(); i-- > 0;) {
    list.columns.push_back({tr(policy.bands[i].title), 1, true});
  }
  for (const auto& [name, kind] : kinds_) {
    auto& cells = list.rows.emplace_back();
    cells.push_back({name});
    cells.push_back(count_cell(kind.seen));
    for (std::size_t i = policy.bands.size(); i-- > 0;) {
      cells.push_back(count_cell(count_of(kind.by_band, i)));
    }
  }
  return list;
}

std::vector<Fact> Summary::scope_in_numbers() const {
  return {
      {tr("Inspected"),
       say("{} on {} of {}, in {}", counted(lugs_, msg("{} lug"), msg("{} lugs")),
           counted(components_measured_, msg("{} component"), msg("{} components")),
           counted(motors_measured_, msg("{} motor"), msg("{} motors")),
           counted(images_.measured, msg("{} measured image"), msg("{} measured images")))},
      {tr("Motors listed"), std::to_string(motors_listed_)},
      {tr("Electrical readings"), std::to_string(readings_)},
      {tr("Not measurable"), say("{} rejected, {} without marks, {} without a number",
                                 counted(images_.rejected, msg("{} image"), msg("{} images")),
                                 counted(images_.unmarked, msg("{} image"), msg("{} images")),
                                 counted(lugs_lost_, msg("{} marked lug"), msg("{} marked lugs")))},
  };
}

}  // namespace ohmglow::report
