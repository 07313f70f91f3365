#include "ladder.h"
#include "ohmglow/number_text.h"
#include "page.h"
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
  void add(const char* label, const std::string& value) {
    list_.push_back(Fields{{"label", label}, {"value", value}});
  }
  [[nodiscard]] const List& list() const { return list_; }

 private:
  List list_;
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
    rows.add("Load", load);
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

List budgets(const Finding& f) {
  List list;
  for (const diagnosis::Budget& budget : f.budget) {
    List inputs;
    for (const diagnosis::BudgetInput& input : budget.inputs) {
      std::string name(radiometry::name_of(input.kind));
      std::replace(name.begin(), name.end(), '_', ' ');
      std::string distribution(diagnosis::name_of(input.distribution));
      std::replace(distribution.begin(), distribution.end(), '_', ' ');
      inputs.push_back(Fields{{"name", name},
                              {"of", input.of},
                              {"value", digits(input.value)},
                              {"unit", input.unit},
                              {"u", digits(input.u)},
                              {"distribution", distribution},
                              {"sensitivity", digits(input.sensitivity)},
                              {"contribution", decimals(input.u_k, 3)},
                              {"share", decimals(100 * input.share, 1) + " %"}});
    }
    std::string quantity = budget.quantity;
    std::replace(quantity.begin(), quantity.end(), '_', ' ');
    list.push_back(Fields{{"quantity", quantity},
                          {"value", decimals(budget.value, 2)},
                          {"u", decimals(budget.u, 3)},
                          {"inputs", inputs}});
  }
  return list;
}

List probabilities(const severity::Policy& policy, const Finding& f) {
  List list;
  if (f.band_probability.size() != policy.bands.size()) return list;
  double none = 1;
  for (const double p : f.band_probability) none -= p;
  const auto add = [&list](const std::string& title, double p) {
    list.push_back(Fields{{"title", title}, {"percent", decimals(100 * p, 0) + " %"}});
  };
  add("no band", std::max(0.0, none));
  for (std::size_t i = 0; i < policy.bands.size(); ++i) {
    add(policy.bands[i].title, f.band_probability[i]);
  }
  return list;
}

List arguments(const std::vector<diagnosis::Argument>& arguments) {
  List list;
  for (const diagnosis::Argument& a : arguments) {
    list.push_back(Fields{{"text", a.text},
                          {"with_it", decimals(100 * a.with_it, 0)},
                          {"overall", decimals(100 * a.overall, 0)}});
  }
  return list;
}

// The two likeliest explanations, the most telling tests, and how sure the verdict is.
void add_explanations(Data& card, const diagnosis::ComponentResult& component) {
  constexpr std::size_t kShown = 2;
  constexpr std::size_t kTests = 3;
  List explanations;
  for (const auto& e : component.explained.explanations) {
    if (explanations.size() == kShown) break;
    explanations.push_back(Fields{{"title", e.title},
                                  {"percent", decimals(100 * e.probability, 0)},
                                  {"in_favour", arguments(e.in_favour)},
                                  {"against", arguments(e.against)}});
  }
  List tests;
  for (const auto& test : component.explained.tests) {
    if (tests.size() == kTests) break;
    tests.push_back(Fields{{"title", test.title},
                           {"how", test.how},
                           {"bits", decimals(test.gain_bits, 2)},
                           {"minutes", decimals(test.effort_min, 0)}});
  }
  const auto verdict = static_cast<std::size_t>(component.verdict);
  if (verdict < component.verdict_probability.size()) {
    card.set("sure", decimals(100 * component.verdict_probability[verdict], 0) + " %");
  }
  card.set("has_explanations", !explanations.empty());
  card.set("explanations", explanations);
  card.set("tests", tests);
}

std::string headline(const Assessment& a, const Finding& f) {
  std::string text = f.motor;
  if (!f.component.empty()) text += " — " + f.component;
  return text + " — " + where_of(a.survey, f);
}

// What this finding alone asks to be careful about; the safety words for all stand at the top.
List own_cautions(const Finding& f) {
  static const std::vector<std::string> general = diagnosis::cautions();
  List list;
  for (const std::string& caution : f.cautions) {
    if (std::find(general.begin(), general.end(), caution) == general.end()) {
      list.push_back(Fields{{"text", caution}});
    }
  }
  return list;
}

const diagnosis::ElectricalResult* reading_of(const diagnosis::ComponentResult* component,
                                              const diagnosis::MotorResult* motor) {
  if (component == nullptr || motor == nullptr || !component->reading) return nullptr;
  if (*component->reading >= motor->electrical.size()) return nullptr;
  return &motor->electrical[*component->reading];
}

void add_ladder(Data& card, const Lookup& lookup, const Finding& f,
                const diagnosis::ComponentResult* component) {
  const diagnosis::MotorResult* motor = lookup.motor(f.motor);
  if (component != nullptr) {
    card.set("ladder", draw(gather_ladder(lookup.assessment, *component, motor)));
  } else if (motor != nullptr) {
    card.set("ladder", draw(gather_ladder(lookup.assessment, *motor)));
  }
  if (const auto* reading = reading_of(component, motor)) {
    std::string text = values_in_words(lookup.assessment.survey, *reading);
    if (!reading->place.empty()) text += " at " + reading->place;
    card.set("reading", text + ", " + day_text(reading->taken_at));
  }
}

}  // namespace

Data card_data(const Lookup& lookup, const Finding& f) {
  const Assessment& a = lookup.assessment;
  const diagnosis::ImageResult* image = f.image ? lookup.image(*f.image) : nullptr;
  const diagnosis::ComponentResult* component = f.image ? lookup.component_of(*f.image) : nullptr;
  Rows rows;
  add_heat(rows, a, f);
  add_trials(rows, a, f);
  add_resistance(rows, a, f);
  add_image(rows, image, f);
  List evidence;
  for (const diagnosis::Evidence& e : f.evidence) {
    evidence.push_back(
        Fields{{"text", e.text}, {"source", e.source}, {"sourced", !e.source.empty()}});
  }
  List flags;
  for (const diagnosis::Flag flag : f.flags) {
    flags.push_back(Fields{{"text", std::string(words_of(flag))}});
  }
  if (a.options.decision == severity::Decision::guarded) {
    rows.add("Band by simple acceptance", band_title(a.policy, f.simple_grade));
  }
  const List likely = probabilities(a.policy, f);
  const List budget = budgets(f);
  const List cautions = own_cautions(f);
  Data card{Fields{
      {"rank", std::to_string(f.rank)},
      {"level", std::to_string(band_level(a.policy, f.grade.band))},
      {"band", band_title(a.policy, f.grade)},
      {"band_by", std::string(words_of(f.grade.by))},
      {"headline", headline(a, f)},
      {"verdict", title_of(f.verdict)},
      {"meaning", std::string(diagnosis::meaning_of(f.verdict))},
      {"rows", rows.list()},
      {"probabilities", likely},
      {"has_probabilities", !likely.empty()},
      {"budgets", budget},
      {"has_budgets", !budget.empty()},
      {"evidence", evidence},
      {"has_evidence", !evidence.empty()},
      {"flags", flags},
      {"has_flags", !flags.empty()},
      {"cautions", cautions},
      {"has_cautions", !cautions.empty()},
      {"action", f.action},
      {"has_action", !f.action.empty()},
      {"next_step", f.next_step},
      {"has_next_step", !f.next_step.empty()},
  }};
  add_ladder(card, lookup, f, component);
  if (component != nullptr) add_explanations(card, *component);
  return card;
}

}  // namespace ohmglow::report
