#include "words.h"

#include "offered/vocabulary/number_text.h"

#include <algorithm>
#include <array>
#include <date/date.h>
#include <fmt/format.h>
#include <utility>

namespace ohmglow::report {
namespace {

using diagnosis::Flag;
using severity::DecidedBy;

constexpr std::array<std::pair<Flag, std::string_view>, 9> kFlags{{
    {Flag::low_load, msg("load under 40 % of rated: the fault may be worse than it looks")},
    {Flag::no_load, msg("no load current: the motor was not running")},
    {Flag::too_small, msg("lug too small in the image: at least this warm, perhaps warmer")},
    {Flag::low_emissivity,
     msg("emissivity below 0.5: the reading is mostly reflection; do not rely on it")},
    {Flag::wind, msg("wind above 5 m/s: the rise in still air is higher")},
    {Flag::no_data_pixels, msg("some pixels of the mark hold no data")},
    {Flag::outside_table, msg("not measurable: no surface temperature fits this reading")},
    {Flag::assumed_air, msg("reflected temperature not given: the air temperature was used")},
    {Flag::unconfirmed, msg("mark not confirmed: check that it lies on this lug")},
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

// Sources by their first words, and what is said of them beside the evidence. One that is not here
// is printed as it stands, or not at all where it bears one of the marks below.
constexpr auto kShortSources = std::to_array<std::pair<std::string_view, std::string_view>>({
    {"ANSI/NETA Table 100.18", msg("ANSI/NETA Table 100.18")},
    {"ANSI/NETA: investigate", msg("ANSI/NETA")},
    {"MIL-STD-2194 (SH)", msg("MIL-STD-2194 (SH)")},
    {"NFPA 70B:2023", msg("NFPA 70B:2023")},
    {"ASTM E1934-99a", msg("ASTM E1934-99a")},
    {"DL/T 664-2016", msg("DL/T 664-2016")},
    {"relative temperature difference, DL/T 664-2016", msg("DL/T 664-2016")},
    {"NEC chapter 9 table 8 or IEC 60228", msg("NEC chapter 9 table 8, IEC 60228")},
    {"NEMA MG 1 definition and derating curve", msg("NEMA MG 1, IEC 61000-4-30")},
    {"NEMA MG 1: about 6 to 10 times", msg("NEMA MG 1")},
    {"negative-sequence impedance", msg("symmetrical components")},
    {"linear propagation (JCGM 100", msg("JCGM 100")},
    {"1.96 standard uncertainties", msg("JCGM 100")},
    {"law of propagation of uncertainty, JCGM 100", msg("JCGM 100")},
    {"propagation of distributions, JCGM 101", msg("JCGM 101")},
    {"adaptive procedure, JCGM 101", msg("JCGM 101")},
    {"comparison of both intervals, JCGM 101", msg("JCGM 101")},
    {"guard band, one-sided 5 %: JCGM 106", msg("JCGM 106")},
    {"the distances of like lugs", msg("order statistics (Pearson & Hartley)")},
    {"readings at several places of one circuit", msg("Kirchhoff's laws")},
    {"the legs of one reading less those", msg("Kirchhoff's laws")},
    {"legs R1 = ", msg("IEC 60034-2")},
    {"free convection (Churchill and Chu)", msg("heat balance of a lug")},
    {"V² = 4 L (T² − T0²)", msg("Holm's contact voltages")},
    {"an excess x in one leg", msg("circuit theory")},
    {"parallel conductors: shares", msg("circuit theory")},
    {"rise over air / (I / I mean)", msg("I²R (Joule's law)")},
});

// Words that say how sure a source is: they belong in the appendix.
constexpr std::array<std::string_view, 6> kMarksOfSources{
    "docs/method.md", "from memory", "house rule", "common practice", "no source", "assumed"};

bool has_mark(std::string_view text) {
  return std::any_of(kMarksOfSources.begin(), kMarksOfSources.end(), [text](std::string_view mark) {
    return text.find(mark) != std::string_view::npos;
  });
}

}  // namespace

std::string short_source(const Sentence& source) {
  for (const auto& [begin, said] : kShortSources) {
    if (source.message.rfind(begin, 0) == 0) return tr(said);
  }
  // "100 × max|x − mean| / mean, NEMA MG 1 definition; limits: {}"
  if (source.message.rfind("100 × max", 0) == 0) return tr("NEMA MG 1");
  if (!has_mark(plainly(source))) return written(source);
  return "";
}

std::string probability_text(double probability) {
  return percent_of(probability);
}

bool has_telling_probabilities(const diagnosis::Finding& finding) {
  return finding.grade.by == DecidedBy::like || finding.grade.by == DecidedBy::air;
}

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
  return with_u(shown_temperature(celsius), shown_difference(u_k), temperature_unit(), 1);
}

std::string difference_with_u(double kelvin, double u_k) {
  return with_u(shown_difference(kelvin), shown_difference(u_k), difference_unit(), 1);
}

std::string difference_with_u(const radiometry::Estimate& rise) {
  return difference_with_u(rise.value(), rise.u());
}

std::string where_of(const Survey& survey, const diagnosis::Finding& finding) {
  if (finding.verdict == diagnosis::Verdict::unmarked_hot_spot) return tr("outside the marks");
  const auto phase = finding.phase ? finding.phase : finding.electrical_phase;
  std::string where = phase ? phase_title(survey, *phase) : tr("the whole circuit");
  if (finding.lug) where += ", " + say("lug {}", *finding.lug);
  if (finding.has(Flag::unconfirmed)) where += ", " + tr("unconfirmed");
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
