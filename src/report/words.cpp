#include "words.h"

#include "offered/vocabulary/number_text.h"

#include <array>
#include <date/date.h>
#include <fmt/format.h>
#include <utility>

namespace ohmglow::report {
namespace {

using diagnosis::Flag;
using severity::DecidedBy;

constexpr std::array<std::pair<Flag, std::string_view>, 9> kFlags{{
    {Flag::low_load, msg("load under 40 % of rated: a worse fault may hide")},
    {Flag::no_load, msg("no load current: the motor was not running")},
    {Flag::too_small,
     msg("the lug is small for the camera and its blur: the temperature is a lower bound")},
    {Flag::low_emissivity, msg("emissivity under 0.5: the temperature leans on the surroundings")},
    {Flag::wind, msg("wind over 5 m/s: the rise is likely understated")},
    {Flag::no_data_pixels, msg("some pixels of the mark hold no data")},
    {Flag::outside_table,
     msg("not measurable: no surface temperature fits this emissivity and scene")},
    {Flag::assumed_air, msg("the reflected temperature was not given: the air's stood in for it")},
    {Flag::unconfirmed, msg("nobody has confirmed the mark: look whether it lies on this lug")},
}};

constexpr std::array<std::pair<DecidedBy, std::string_view>, 5> kDecidedBy{{
    {DecidedBy::none, msg("nothing")},
    {DecidedBy::like, msg("the rise over like lugs")},
    {DecidedBy::air, msg("the rise over air")},
    {DecidedBy::limit, msg("the conductor's temperature limit")},
    {DecidedBy::reading, msg("the resistance reading")},
}};

constexpr std::array<std::pair<Test, std::string_view>, 5> kTests{{
    {Test::winding_resistance, msg("winding resistance")},
    {Test::line_current, msg("line current")},
    {Test::line_voltage, msg("line voltage")},
    {Test::joint_resistance, msg("resistance of a joint")},
    {Test::joint_drop, msg("voltage drop of a joint")},
}};

template <class Key, std::size_t size>
std::string_view find_in(const std::array<std::pair<Key, std::string_view>, size>& table, Key key) {
  for (const auto& [known, words] : table) {
    if (known == key) return words;
  }
  return "";
}

/// The verdicts' ids with spaces, in their order.
constexpr std::array<std::string_view, diagnosis::kFindingVerdicts> kVerdictTitles{
    msg("open phase"),     msg("confirmed"),    msg("phase agrees"), msg("phase conflict"),
    msg("heat only"),      msg("reading only"), msg("no reading"),   msg("supply unbalance"),
    msg("load unbalance"), msg("not judged"),   msg("even"),         msg("unmarked hot spot")};

constexpr int kLevels = 4;

}  // namespace

std::string title_of(diagnosis::Verdict verdict) {
  return tr(kVerdictTitles.at(static_cast<std::size_t>(verdict)));
}

std::string title_of(Test test) {
  return tr(find_in(kTests, test));
}
std::string reading_title(Test test, const std::string& place) {
  return place.empty() ? title_of(test) : say("{} at {}", title_of(test), place);
}
std::string words_of(Flag flag) {
  return tr(find_in(kFlags, flag));
}
std::string words_of(DecidedBy by) {
  return tr(find_in(kDecidedBy, by));
}

const std::string& phase_name(const Survey& survey, Phase phase) {
  return survey.phase_names[index_of(phase)];
}

std::vector<std::string> cautions_in_words() {
  std::vector<std::string> words;
  for (const Sentence& caution : diagnosis::cautions()) words.push_back(written(caution));
  return words;
}

std::string phase_title(const Survey& survey, Phase phase) {
  return say("phase {}", phase_name(survey, phase));
}

std::string pair_name(const Survey& survey, std::size_t pair) {
  return survey.phase_names.at(pair % 3) + "-" + survey.phase_names.at((pair + 1) % 3);
}

std::string band_title(const severity::Policy& policy, const severity::Grade& grade) {
  return grade.band && *grade.band < policy.bands.size() ? tr(policy.bands[*grade.band].title)
                                                         : tr("none");
}

int band_level(const severity::Policy& policy, std::optional<std::size_t> band) {
  if (!band) return 0;
  if (policy.bands.size() < 2) return kLevels;
  const std::size_t steps = policy.bands.size() - 1;
  return 1 + static_cast<int>((*band * (kLevels - 1) + steps / 2) / steps);
}

std::string temperature_with_u(double celsius, double u_k) {
  return fmt::format("{} ± {} {}", decimals(shown_temperature(celsius), 1),
                     decimals(shown_difference(u_k), 1), temperature_unit());
}

std::string difference_with_u(double kelvin, double u_k) {
  return fmt::format("{} ± {} {}", decimals(shown_difference(kelvin), 1),
                     decimals(shown_difference(u_k), 1), difference_unit());
}

std::string difference_with_u(const radiometry::Estimate& rise) {
  return difference_with_u(rise.value(), rise.u());
}

bool is_unconfirmed(const diagnosis::Finding& finding) {
  return std::find(finding.flags.begin(), finding.flags.end(), Flag::unconfirmed) !=
         finding.flags.end();
}

std::string where_of(const Survey& survey, const diagnosis::Finding& finding) {
  if (finding.verdict == diagnosis::Verdict::unmarked_hot_spot) return tr("outside the marks");
  const auto phase = finding.phase ? finding.phase : finding.electrical_phase;
  std::string where = phase ? phase_title(survey, *phase) : tr("the whole circuit");
  if (finding.lug) where += ", " + say("lug {}", *finding.lug);
  if (is_unconfirmed(finding)) where += ", " + tr("unconfirmed");
  return where;
}

std::string day_text(const std::optional<Moment>& moment) {
  return moment ? moment->text : tr("no date");
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

std::string counted(std::size_t count, std::string_view one, std::string_view many) {
  return say(count == 1 ? one : many, count);
}

}  // namespace ohmglow::report
