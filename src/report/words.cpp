#include "words.h"

#include "ohmglow/number_text.h"

#include <array>
#include <date/date.h>
#include <fmt/format.h>
#include <utility>

namespace ohmglow::report {
namespace {

using diagnosis::Flag;
using severity::DecidedBy;

constexpr std::array<std::pair<Flag, std::string_view>, 8> kFlags{{
    {Flag::low_load, "load under 40 % of rated: a worse fault may hide"},
    {Flag::no_load, "no load current: the motor was not running"},
    {Flag::too_small, "the lug is small for the camera and its blur: the temperature is a lower bound"},
    {Flag::low_emissivity, "emissivity under 0.5: the temperature leans on the surroundings"},
    {Flag::wind, "wind over 5 m/s: the rise is likely understated"},
    {Flag::no_data_pixels, "some pixels of the mark hold no data"},
    {Flag::outside_table, "not measurable: no surface temperature fits this emissivity and scene"},
    {Flag::assumed_air, "the reflected temperature was not given: the air's stood in for it"},
}};

constexpr std::array<std::pair<DecidedBy, std::string_view>, 5> kDecidedBy{{
    {DecidedBy::none, "nothing"},
    {DecidedBy::like, "the rise over like lugs"},
    {DecidedBy::air, "the rise over air"},
    {DecidedBy::limit, "the conductor's temperature limit"},
    {DecidedBy::reading, "the resistance reading"},
}};

constexpr std::array<std::pair<Test, std::string_view>, 3> kTests{{
    {Test::winding_resistance, "winding resistance"},
    {Test::line_current, "line current"},
    {Test::line_voltage, "line voltage"},
}};

template <class Key, std::size_t size>
std::string_view find_in(const std::array<std::pair<Key, std::string_view>, size>& table, Key key) {
  for (const auto& [known, words] : table) {
    if (known == key) return words;
  }
  return "";
}

constexpr int kLevels = 4;

}  // namespace

std::string title_of(diagnosis::Verdict verdict) {
  std::string title(diagnosis::id_of(verdict));
  std::replace(title.begin(), title.end(), '_', ' ');
  return title;
}

std::string_view title_of(Test test) {
  return find_in(kTests, test);
}
std::string_view words_of(Flag flag) {
  return find_in(kFlags, flag);
}
std::string_view words_of(DecidedBy by) {
  return find_in(kDecidedBy, by);
}

const std::string& phase_name(const Survey& survey, Phase phase) {
  return survey.phase_names[index_of(phase)];
}

std::string phase_title(const Survey& survey, Phase phase) {
  return "phase " + phase_name(survey, phase);
}

std::string pair_name(const Survey& survey, std::size_t pair) {
  return survey.phase_names.at(pair % 3) + "-" + survey.phase_names.at((pair + 1) % 3);
}

std::string band_title(const severity::Policy& policy, const severity::Grade& grade) {
  return grade.band && *grade.band < policy.bands.size() ? policy.bands[*grade.band].title : "none";
}

int band_level(const severity::Policy& policy, std::optional<std::size_t> band) {
  if (!band) return 0;
  if (policy.bands.size() < 2) return kLevels;
  const std::size_t steps = policy.bands.size() - 1;
  return 1 + static_cast<int>((*band * (kLevels - 1) + steps / 2) / steps);
}

std::string with_u(double value, double u, std::string_view unit) {
  return fmt::format("{} ± {} {}", decimals(value, 1), decimals(u, 1), unit);
}

std::string with_u(const radiometry::Estimate& estimate, std::string_view unit) {
  return with_u(estimate.value(), estimate.u(), unit);
}

std::string where_of(const Survey& survey, const diagnosis::Finding& finding) {
  const auto phase = finding.phase ? finding.phase : finding.electrical_phase;
  std::string where = phase ? phase_title(survey, *phase) : "the whole circuit";
  if (finding.lug) where += ", lug " + *finding.lug;
  return where;
}

std::string day_text(const std::optional<Moment>& moment) {
  return moment ? moment->text : "no date";
}

std::string day_text(std::chrono::sys_days day) {
  return date::format("%F", day);
}

Counts count_images(const diagnosis::Assessment& assessment) {
  Counts counts;
  for (const diagnosis::ImageResult& image : assessment.images) {
    switch (image.status) {
      case diagnosis::ImageStatus::measured:
        ++counts.measured;
        break;
      case diagnosis::ImageStatus::unmarked:
        ++counts.unmarked;
        break;
      case diagnosis::ImageStatus::rejected:
        ++counts.rejected;
        break;
    }
  }
  return counts;
}

std::string counted(std::size_t count, std::string_view noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

}  // namespace ohmglow::report
