#include "ohmglow/number_text.h"
#include "ohmglow/report_contents.h"
#include "reading_words.h"
#include "words.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::Finding;
using diagnosis::LugResult;

const LugResult* lug_of(const diagnosis::ImageResult* image, const Finding& f) {
  if (image == nullptr || !f.lug) return nullptr;
  const auto found =
      std::find_if(image->lugs.begin(), image->lugs.end(), [&f](const LugResult& lug) {
        return lug.name == *f.lug && (!f.phase || lug.phase == *f.phase);
      });
  return found == image->lugs.end() ? nullptr : &*found;
}

// Rows of label and value; what is not known has no row.
class Rows {
 public:
  void add(const char* label, const std::string& value) { facts_.push_back({label, value}); }
  [[nodiscard]] std::vector<Fact> take() { return std::move(facts_); }

 private:
  std::vector<Fact> facts_;
};

void add_heat(Rows& rows, const Assessment& a, const Finding& f) {
  if (f.temperature_c) {
    rows.add("Temperature", f.temperature_u_c ? with_u(*f.temperature_c, *f.temperature_u_c, "°C")
                                              : decimals(*f.temperature_c, 1) + " °C");
  }
  if (f.reference_c) {
    rows.add(a.options.reference == diagnosis::Reference::coolest ? "Reference: coolest like lug"
                                                                  : "Reference: median like lug",
             decimals(*f.reference_c, 1) + " °C");
  }
  if (f.rise_over_like) {
    rows.add("Rise over like", with_u(*f.rise_over_like, "K"));
  } else if (f.lug) {
    rows.add("Rise over like", "no like lug to compare with: judged by the rise over air alone");
  }
  if (f.rise_over_air) rows.add("Rise over air", with_u(*f.rise_over_air, "K"));
  if (f.relative_difference) {
    rows.add("Relative difference", decimals(100 * *f.relative_difference, 0) + " %");
  }
  if (f.projected_rise) {
    const severity::Projection& p = *f.projected_rise;
    rows.add("Rise over like at rated load",
             fmt::format("{} with exponent {}; {} to {} K with {} to {}",
                         with_u(p.rise.value(), p.u_k, "K"), decimals(severity::kLoadExponent, 1),
                         decimals(p.low.value(), 1), decimals(p.high.value(), 1),
                         decimals(severity::kLoadExponentLow, 1),
                         decimals(severity::kLoadExponentHigh, 1)));
  }
  if (f.load_a) {
    std::string load = decimals(*f.load_a, 1) + " A";
    if (f.load_pct) load += ", " + decimals(*f.load_pct, 0) + " % of rated";
    rows.add("Load when the image was taken", load);
  }
}

void add_resistance(Rows& rows, const Assessment& a, const Finding& f) {
  if (f.electrical_phase) {
    rows.add("Highest leg by resistance", phase_title(a.survey, *f.electrical_phase));
  }
  if (f.excess_ohm) rows.add("Excess over the mean of the other legs", ohms(*f.excess_ohm));
  if (f.excess_w)
    rows.add("Heat of the excess at this load", decimals(f.excess_w->value(), 1) + " W");
  if (f.resistance_unbalance) {
    rows.add("Unbalance of the pairs", decimals(f.resistance_unbalance->value(), 2) + " %");
  }
  if (f.leg_unbalance) {
    rows.add("Unbalance of the legs", decimals(f.leg_unbalance->value(), 2) + " %");
  }
}

void add_image(Rows& rows, const diagnosis::ImageResult* image, const Finding& f) {
  if (const LugResult* lug = lug_of(image, f)) {
    rows.add("Emissivity", decimals(lug->emissivity.value(), 2));
    rows.add("Mark", fmt::format("{}, hottest {} °C, mean {} °C",
                                 counted(static_cast<std::size_t>(lug->pixels), "pixel"),
                                 decimals(lug->max_c, 1), decimals(lug->mean_c, 1)));
  }
  if (image == nullptr) return;
  rows.add("Image", image->file + (image->taken_at ? ", taken " + image->taken_at->text : ""));
  if (!image->sha256.empty()) rows.add("SHA-256 of the image", image->sha256);
}

void add_interval(Rows& rows, const char* label, const std::optional<diagnosis::Spread>& spread,
                  std::string_view unit) {
  if (!spread) return;
  rows.add(label, fmt::format("{} to {} {}, u = {} {}", decimals(spread->low, 1),
                              decimals(spread->high, 1), unit, decimals(spread->u, 2), unit));
}

void add_trials(Rows& rows, const Assessment& a, const Finding& f) {
  if (!f.monte_carlo) return;
  const diagnosis::MonteCarlo& sampled = *f.monte_carlo;
  add_interval(rows, "95 % interval of the temperature", sampled.temperature_c, "°C");
  add_interval(rows, "95 % interval of the rise over like", sampled.over_like, "K");
  add_interval(rows, "95 % interval of the rise over air", sampled.over_air, "K");
  rows.add("Monte Carlo trials",
           fmt::format("{}, seed {}; {} % left the radiance table", sampled.trials, a.options.seed,
                       decimals(100 * sampled.outside_share, 2)));
}

// A number with three significant digits, and the minus that the other numbers have.
std::string digits(double value) {
  return (value < 0 ? "−" : "") + fmt::format("{:.3g}", std::abs(value));
}

std::string spaced(std::string_view id) {
  std::string words(id);
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

std::vector<BudgetTable> budgets(const Finding& f) {
  std::vector<BudgetTable> tables;
  for (const diagnosis::Budget& budget : f.budget) {
    BudgetTable& table = tables.emplace_back();
    table.quantity = spaced(budget.quantity);
    table.value = decimals(budget.value, 2);
    table.u = decimals(budget.u, 3);
    for (const diagnosis::BudgetInput& input : budget.inputs) {
      const std::string unit = input.unit.empty() ? "" : " " + input.unit;
      table.rows.push_back({spaced(radiometry::name_of(input.kind)) + ", " + input.of,
                            digits(input.value) + unit, digits(input.u) + unit,
                            spaced(diagnosis::name_of(input.distribution)),
                            digits(input.sensitivity), decimals(input.u_k, 3),
                            decimals(100 * input.share, 1) + " %"});
    }
  }
  return tables;
}

std::vector<Fact> probabilities(const severity::Policy& policy, const Finding& f) {
  std::vector<Fact> facts;
  if (f.band_probability.size() != policy.bands.size()) return facts;
  double none = 1;
  for (const double p : f.band_probability) none -= p;
  const auto add = [&facts](const std::string& title, double p) {
    facts.push_back({title, decimals(100 * p, 0) + " %"});
  };
  add("no band", std::max(0.0, none));
  for (std::size_t i = 0; i < policy.bands.size(); ++i) {
    add(policy.bands[i].title, f.band_probability[i]);
  }
  return facts;
}

void add_arguments(std::vector<std::string>& lines, const char* side,
                   const std::vector<diagnosis::Argument>& arguments) {
  for (const diagnosis::Argument& a : arguments) {
    lines.push_back(fmt::format("{}: {} (seen in {} % of such cases, in {} % of all)", side, a.text,
                                decimals(100 * a.with_it, 0), decimals(100 * a.overall, 0)));
  }
}

// The two likeliest causes, the most telling tests, and how sure the verdict is.
void add_explanations(Card& card, const diagnosis::ComponentResult& component) {
  constexpr std::size_t kShown = 2;
  constexpr std::size_t kTests = 3;
  for (const auto& e : component.explained.explanations) {
    if (card.causes.size() == kShown) break;
    Cause& cause = card.causes.emplace_back();
    cause.title = e.title;
    cause.percent = decimals(100 * e.probability, 0) + " %";
    add_arguments(cause.arguments, "for it", e.in_favour);
    add_arguments(cause.arguments, "against it", e.against);
  }
  for (const auto& test : component.explained.tests) {
    if (card.tests.size() == kTests) break;
    card.tests.push_back({test.title, test.how,
                          fmt::format("{} bits, about {} min", decimals(test.gain_bits, 2),
                                      decimals(test.effort_min, 0))});
  }
  const auto verdict = static_cast<std::size_t>(component.verdict);
  if (verdict < component.verdict_probability.size()) {
    card.sure = decimals(100 * component.verdict_probability[verdict], 0) + " %";
  }
}

std::string headline(const Assessment& a, const Finding& f) {
  std::string text = f.motor;
  if (!f.component.empty()) text += " — " + f.component;
  return text + " — " + where_of(a.survey, f);
}

// What this finding alone asks to be careful about; the safety words for all stand apart.
std::vector<std::string> own_cautions(const Finding& f) {
  static const std::vector<std::string> general = diagnosis::cautions();
  std::vector<std::string> own;
  for (const std::string& caution : f.cautions) {
    if (std::find(general.begin(), general.end(), caution) == general.end()) own.push_back(caution);
  }
  return own;
}

std::string reading_in_words(const Survey& survey, const Card& card) {
  if (card.component == nullptr || card.motor == nullptr || !card.component->reading) return "";
  if (*card.component->reading >= card.motor->electrical.size()) return "";
  const diagnosis::ElectricalResult& reading = card.motor->electrical[*card.component->reading];
  std::string text = values_in_words(survey, reading);
  if (!reading.place.empty()) text += " at " + reading.place;
  return text + ", " + day_text(reading.taken_at);
}

std::vector<Fact> numbers(const Assessment& a, const Finding& f,
                          const diagnosis::ImageResult* image) {
  Rows rows;
  add_heat(rows, a, f);
  add_trials(rows, a, f);
  add_resistance(rows, a, f);
  add_image(rows, image, f);
  if (a.options.decision == severity::Decision::guarded) {
    rows.add("Band by simple acceptance", band_title(a.policy, f.simple_grade));
  }
  return rows.take();
}

}  // namespace

Card card_of(const Lookup& lookup, const Finding& f) {
  const Assessment& a = lookup.assessment;
  Card card;
  card.image = f.image ? lookup.image(*f.image) : nullptr;
  card.component = f.image ? lookup.component_of(*f.image) : nullptr;
  card.motor = lookup.motor(f.motor);
  card.rank = f.rank;
  card.level = band_level(a.policy, f.grade.band);
  card.band = band_title(a.policy, f.grade);
  card.band_by = words_of(f.grade.by);
  card.headline = headline(a, f);
  card.verdict = title_of(f.verdict);
  card.meaning = diagnosis::meaning_of(f.verdict);
  card.action = f.action;
  card.next_step = f.next_step;
  card.numbers = numbers(a, f, card.image);
  card.probabilities = probabilities(a.policy, f);
  card.evidence = f.evidence;
  for (const diagnosis::Flag flag : f.flags) card.flags.emplace_back(words_of(flag));
  card.cautions = own_cautions(f);
  card.budgets = budgets(f);
  card.reading = reading_in_words(a.survey, card);
  if (card.component != nullptr) add_explanations(card, *card.component);
  return card;
}

}  // namespace ohmglow::report
