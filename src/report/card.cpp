#include "about.h"
#include "answer.h"
#include "offered/report/report_contents.h"
#include "offered/vocabulary/number_text.h"
#include "reading_words.h"
#include "words.h"

#include <algorithm>
#include <array>
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
  void add(const std::string& label, const std::string& value) { facts_.push_back({label, value}); }
  [[nodiscard]] std::vector<Fact> take() { return std::move(facts_); }

 private:
  std::vector<Fact> facts_;
};

void add_heat(Rows& rows, const Assessment& a, const Finding& f) {
  if (f.temperature_c) {
    rows.add(tr("Temperature"), f.temperature_u_c
                                    ? temperature_with_u(*f.temperature_c, *f.temperature_u_c)
                                    : temperature_text(*f.temperature_c, 1));
  }
  if (f.reference_c) {
    rows.add(a.options.reference == diagnosis::Reference::coolest
                 ? tr("Reference: coolest like lug")
                 : tr("Reference: median like lug"),
             temperature_text(*f.reference_c, 1));
  }
  if (f.rise_over_like) {
    rows.add(tr("Rise over like"), difference_with_u(*f.rise_over_like));
  } else if (f.lug) {
    rows.add(tr("Rise over like"),
             tr("no like lug to compare with: judged by the rise over air alone"));
  }
  if (f.rise_over_air) rows.add(tr("Rise over air"), difference_with_u(*f.rise_over_air));
  if (f.relative_difference) {
    rows.add(tr("Relative difference"), decimals(100 * *f.relative_difference, 0) + " %");
  }
  if (f.projected_rise) {
    const severity::Projection& p = *f.projected_rise;
    rows.add(
        tr("Rise over like at rated load"),
        say("{} with exponent {}; {} to {} {} with {} to {}",
            difference_with_u(p.rise.value(), p.u_k), decimals(severity::kLoadExponent, 1),
            decimals(shown_difference(p.low.value()), 1),
            decimals(shown_difference(p.high.value()), 1), difference_unit(),
            decimals(severity::kLoadExponentLow, 1), decimals(severity::kLoadExponentHigh, 1)));
  }
  if (f.load_a) {
    std::string load = decimals(*f.load_a, 1) + " A";
    if (f.load_pct) load += ", " + say("{} % of rated", decimals(*f.load_pct, 0));
    rows.add(tr("Load when the image was taken"), load);
  }
}

void add_resistance(Rows& rows, const Assessment& a, const Finding& f) {
  if (f.electrical_phase) {
    rows.add(tr("Highest leg by resistance"), phase_title(a.survey, *f.electrical_phase));
  }
  if (f.excess_ohm) rows.add(tr("Excess over the mean of the other legs"), ohms(*f.excess_ohm));
  if (f.excess_w)
    rows.add(tr("Heat of the excess at this load"), decimals(f.excess_w->value(), 1) + " W");
  if (f.resistance_unbalance) {
    rows.add(tr("Unbalance of the pairs"), decimals(f.resistance_unbalance->value(), 2) + " %");
  }
  if (f.leg_unbalance) {
    rows.add(tr("Unbalance of the legs"), decimals(f.leg_unbalance->value(), 2) + " %");
  }
}

void add_image(Rows& rows, const diagnosis::ImageResult* image, const Finding& f) {
  if (const LugResult* lug = lug_of(image, f)) {
    rows.add(tr("Emissivity"), decimals(lug->emissivity.value(), 2));
    rows.add(tr("Mark"),
             say("{}, hottest {}, mean {}",
                 counted(static_cast<std::size_t>(lug->pixels), msg("{} pixel"), msg("{} pixels")),
                 temperature_text(lug->max_c, 1), temperature_text(lug->mean_c, 1)));
  }
  if (image == nullptr) return;
  rows.add(tr("Image"),
           image->file + (image->taken_at ? ", " + say("taken {}", image->taken_at->text) : ""));
  if (!image->sha256.empty()) rows.add(tr("SHA-256 of the image"), image->sha256);
}

void add_interval(Rows& rows, const std::string& label,
                  const std::optional<diagnosis::Spread>& spread, bool is_temperature) {
  if (!spread) return;
  const auto shown = [is_temperature](double value) {
    return is_temperature ? shown_temperature(value) : shown_difference(value);
  };
  const std::string_view unit = is_temperature ? temperature_unit() : difference_unit();
  rows.add(label, say("{} to {} {}, u = {} {}", decimals(shown(spread->low), 1),
                      decimals(shown(spread->high), 1), unit,
                      decimals(shown_difference(spread->u), 2), unit));
}

void add_trials(Rows& rows, const Assessment& a, const Finding& f) {
  if (!f.monte_carlo) return;
  const diagnosis::MonteCarlo& sampled = *f.monte_carlo;
  add_interval(rows, tr("95 % interval of the temperature"), sampled.temperature_c, true);
  add_interval(rows, tr("95 % interval of the rise over like"), sampled.over_like, false);
  add_interval(rows, tr("95 % interval of the rise over air"), sampled.over_air, false);
  rows.add(tr("Monte Carlo trials"),
           say("{}, seed {}; {} % left the radiance table", sampled.trials, a.options.seed,
               decimals(100 * sampled.outside_share, 2)));
}

// A number with three significant digits, and the minus that the other numbers have.
std::string digits(double value) {
  std::string text = fmt::format("{:.3g}", std::abs(value));
  std::replace(text.begin(), text.end(), '.', reader().decimal_mark);
  return (value < 0 ? "−" : "") + text;
}

/// What budgets name by ids, as words.
[[maybe_unused]] constexpr std::array kBudgetWords{msg("temperature"),
                                                   msg("rise over like"),
                                                   msg("rise over air"),
                                                   msg("projected rise"),
                                                   msg("emissivity"),
                                                   msg("reflected"),
                                                   msg("air"),
                                                   msg("atmosphere transmittance"),
                                                   msg("window transmittance"),
                                                   msg("window"),
                                                   msg("camera"),
                                                   msg("noise"),
                                                   msg("nonuniformity"),
                                                   msg("load"),
                                                   msg("load exponent"),
                                                   msg("sound scatter"),
                                                   msg("reference choice"),
                                                   msg("normal"),
                                                   msg("truncated normal"),
                                                   msg("rectangular")};

std::string spaced(std::string_view id) {
  std::string words(id);
  std::replace(words.begin(), words.end(), '_', ' ');
  return tr(words);
}

/// A row of a budget in the reader's unit. Contributions are differences; so is the error of an
/// input that is a temperature or a difference of them, whose sensitivity then has no unit.
BudgetRow budget_row(const diagnosis::BudgetInput& input) {
  const bool is_temperature = input.unit == "°C";
  const bool is_difference = input.unit == "K";
  const bool is_thermal = is_temperature || is_difference;
  const std::string unit = is_temperature  ? std::string(temperature_unit())
                           : is_difference ? std::string(difference_unit())
                                           : input.unit;
  const std::string with_unit = unit.empty() ? "" : " " + unit;
  return {spaced(radiometry::name_of(input.kind)) + ", " + written(input.of),
          digits(is_temperature ? shown_temperature(input.value) : input.value) + with_unit,
          digits(is_thermal ? shown_difference(input.u) : input.u) + with_unit,
          spaced(diagnosis::name_of(input.distribution)),
          digits(is_thermal ? input.sensitivity : shown_difference(input.sensitivity)),
          decimals(shown_difference(input.u_k), 3),
          decimals(100 * input.share, 1) + " %"};
}

std::vector<BudgetTable> budgets(const Finding& f) {
  std::vector<BudgetTable> tables;
  for (const diagnosis::Budget& budget : f.budget) {
    BudgetTable& table = tables.emplace_back();
    table.quantity = spaced(budget.quantity);
    table.value = decimals(budget.quantity == "temperature" ? shown_temperature(budget.value)
                                                            : shown_difference(budget.value),
                           2);
    table.u = decimals(shown_difference(budget.u), 3);
    for (const diagnosis::BudgetInput& input : budget.inputs) {
      table.rows.push_back(budget_row(input));
    }
  }
  return tables;
}

std::vector<Fact> probabilities(const severity::Policy& policy, const Finding& f) {
  std::vector<Fact> facts;
  if (f.band_probability.size() != policy.bands.size()) return facts;
  if (!has_telling_probabilities(f)) return facts;
  double none = 1;
  for (const double p : f.band_probability) none -= p;
  const auto add = [&facts](const std::string& title, double p) {
    facts.push_back({title, probability_text(p)});
  };
  add(tr("no band"), std::max(0.0, none));
  for (std::size_t i = 0; i < policy.bands.size(); ++i) {
    add(tr(policy.bands[i].title), f.band_probability[i]);
  }
  return facts;
}

void add_arguments(std::vector<std::string>& lines, const std::string& side,
                   const std::vector<diagnosis::Argument>& arguments) {
  for (const diagnosis::Argument& a : arguments) {
    const bool speaks_for = a.with_it >= a.overall;
    const double weight = speaks_for ? a.with_it / a.overall : a.overall / a.with_it;
    lines.push_back(say("{}: {} (weight {}, modelled)", side, written(a.text),
                        decimals(weight, weight < 9.95 ? 1 : 0)));
  }
}

// The two likeliest causes, the most telling tests, and how sure the verdict is.
void add_explanations(Card& card, const diagnosis::ComponentResult& component) {
  constexpr std::size_t kShown = 2;
  constexpr std::size_t kTests = 3;
  for (const auto& e : component.explained.explanations) {
    if (card.causes.size() == kShown) break;
    Cause& cause = card.causes.emplace_back();
    cause.title = written(e.title);
    cause.percent = probability_text(e.probability);
    add_arguments(cause.arguments, tr("for it"), e.in_favour);
    add_arguments(cause.arguments, tr("against it"), e.against);
  }
  for (const auto& test : component.explained.tests) {
    if (card.tests.size() == kTests) break;
    card.tests.push_back(
        {written(test.title), written(test.how),
         say("{} bits, about {} min", decimals(test.gain_bits, 2), decimals(test.effort_min, 0))});
  }
  const auto verdict = static_cast<std::size_t>(component.verdict);
  if (verdict < component.verdict_probability.size()) {
    card.sure = probability_text(component.verdict_probability[verdict]);
  }
}

std::string headline(const Assessment& a, const Finding& f) {
  std::string text = f.motor;
  if (!f.component.empty()) text += " — " + f.component;
  return text + " — " + where_of(a.survey, f);
}

/// Of a motor that runs on two phases; where no image has them, as its evidence says.
std::string currents(const Assessment& a, const Finding& f,
                     const diagnosis::ComponentResult* component) {
  if (component == nullptr) return f.evidence.empty() ? "" : written(f.evidence.front().text);
  std::string text;
  for (const Phase phase : kPhases) {
    const auto& load = component->load_a[index_of(phase)];
    text += fmt::format("{}{} {}", text.empty() ? "" : ", ", phase_name(a.survey, phase),
                        load ? decimals(load->value(), 1) + " A" : "—");
  }
  return text;
}

/// The numbers that decide, as many as a reader takes in at once.
std::vector<Fact> decisive_numbers(const Assessment& a, const Finding& f,
                                   const diagnosis::ComponentResult* component) {
  constexpr std::size_t kMost = 5;
  Rows rows;
  if (f.temperature_c && f.temperature_u_c) {
    rows.add(tr("Temperature"), temperature_with_u(*f.temperature_c, *f.temperature_u_c));
  }
  if (f.rise_over_like && f.reference_c) {
    rows.add(tr("Over its like lugs"),
             say("{} (reference {})", difference_with_u(*f.rise_over_like),
                 temperature_text(*f.reference_c, 1)));
  } else if (f.rise_over_air) {
    rows.add(tr("Over the air"), difference_with_u(*f.rise_over_air));
  }
  if (f.load_a) {
    std::string load = decimals(*f.load_a, 1) + " A";
    if (f.load_pct) load += ", " + say("{} % of rated", decimals(*f.load_pct, 0));
    rows.add(tr("Load"), load);
  }
  constexpr double kAsGoodAsRated_pct = 95;
  if (f.projected_rise && f.load_pct.value_or(0) < kAsGoodAsRated_pct) {
    rows.add(tr("Over its like lugs at rated load"),
             say("{} to {}", difference_text(f.projected_rise->low.value(), 1),
                 difference_text(f.projected_rise->high.value(), 1)));
  }
  if (f.excess_ohm && f.electrical_phase) {
    rows.add(tr("Resistance"), fmt::format("{} + {}", phase_title(a.survey, *f.electrical_phase),
                                           ohms(*f.excess_ohm)));
  }
  if (f.resistance_unbalance) {
    rows.add(tr("Unbalance of the pairs"), decimals(f.resistance_unbalance->value(), 2) + " %");
  }
  if (f.verdict == diagnosis::Verdict::open_phase)
    rows.add(tr("Line currents"), currents(a, f, component));
  auto facts = rows.take();
  facts.resize(std::min(facts.size(), kMost));
  return facts;
}

std::string who_may(const Finding& f) {
  if (f.decision != diagnosis::Decision::image_again) {
    return tr("A qualified electrician, with the circuit locked out, tagged and verified dead.");
  }
  return tr(
      "The thermographer or an electrician; covers are opened by qualified people only, under "
      "the plant's arc-flash and shock rules.");
}

void add_reasons(Card& card, const diagnosis::Explanation& likeliest) {
  constexpr std::size_t kReasons = 3;
  const auto first = [](const std::vector<diagnosis::Argument>& arguments) {
    std::vector<std::string> texts;
    for (const diagnosis::Argument& argument : arguments) {
      if (texts.size() == kReasons) break;
      texts.push_back(written(argument.text));
    }
    return texts;
  };
  card.reasons_for = first(likeliest.in_favour);
  card.reasons_against = first(likeliest.against);
}

// What this finding alone asks to be careful about; the safety words for all stand apart.
std::vector<std::string> own_cautions(const Finding& f) {
  const std::vector<Sentence> general = diagnosis::cautions();
  std::vector<std::string> own;
  for (const Sentence& caution : f.cautions) {
    if (std::find(general.begin(), general.end(), caution) != general.end()) continue;
    own.push_back(written(caution));
  }
  return own;
}

std::string reading_in_words(const Survey& survey, const Card& card) {
  if (card.component == nullptr || card.motor == nullptr || !card.component->reading) return "";
  if (*card.component->reading >= card.motor->electrical.size()) return "";
  const diagnosis::ElectricalResult& reading = card.motor->electrical[*card.component->reading];
  const std::string values = values_in_words(survey, reading);
  return (reading.place.empty() ? values : say("{} at {}", values, reading.place)) + ", " +
         day_text(reading.taken_at);
}

std::vector<Fact> numbers(const Lookup& lookup, const Finding& f,
                          const diagnosis::ImageResult* image) {
  const Assessment& a = lookup.assessment;
  Rows rows;
  add_heat(rows, a, f);
  add_trials(rows, a, f);
  add_resistance(rows, a, f);
  add_image(rows, image, f);
  if (f.expected_loss) {
    const Motor* row = lookup.row(f.motor);
    const std::string currency = row == nullptr ? "" : row->currency;
    rows.add(tr("Expected loss within a year"),
             decimals(*f.expected_loss, 0) + (currency.empty() ? "" : " " + currency));
  }
  if (a.options.decision == severity::Decision::guarded) {
    rows.add(tr("Band by simple acceptance"), band_title(a.policy, f.simple_grade));
  }
  return rows.take();
}

}  // namespace

Card card_of(const Lookup& lookup, const Finding& f) {
  const Assessment& a = lookup.assessment;
  Card card;
  card.image = f.image ? lookup.image(*f.image) : nullptr;
  card.component = component_of(lookup, f);
  if (card.image == nullptr && card.component != nullptr) {
    card.image = &a.images.at(card.component->images.front());
  }
  card.motor = lookup.motor(f.motor);
  card.rank = f.rank;
  card.level = band_level(a.policy, f.grade.band);
  card.band = band_title(a.policy, f.grade);
  card.band_by = words_of(f.grade.by);
  card.case_number = f.case_number;
  const Motor* row = lookup.row(f.motor);
  card.drives = row == nullptr ? "" : row->description;
  card.headline = headline(a, f);
  card.plain_action = plain_action(f);
  card.how_sure = how_sure(f, card.component);
  card.decisive = decisive_numbers(a, f, card.component);
  card.who = who_may(f);
  card.about_motor = about_motor(row, lookup.place(f.motor, f.component));
  if (card.image != nullptr)
    card.about_image = about_image(lookup.entry(card.image->file), card.image);
  for (const Sentence& other : f.also) card.also.push_back(written(other));
  card.verdict = title_of(f.verdict);
  card.meaning = written(diagnosis::meaning_of(a, f));
  card.action = written(f.action);
  card.next_step = written(f.next_step);
  card.numbers = numbers(lookup, f, card.image);
  card.probabilities = probabilities(a.policy, f);
  card.evidence = f.evidence;
  for (const diagnosis::Flag flag : f.flags) card.flags.emplace_back(words_of(flag));
  card.cautions = own_cautions(f);
  card.budgets = budgets(f);
  card.reading = reading_in_words(a.survey, card);
  if (card.component == nullptr) return card;
  add_explanations(card, *card.component);
  // What both witnesses name is opened, not tested further.
  card.has_next_test = !card.tests.empty() && f.verdict != diagnosis::Verdict::open_phase &&
                       f.verdict != diagnosis::Verdict::confirmed;
  const auto& explanations = card.component->explained.explanations;
  if (!explanations.empty()) add_reasons(card, explanations.front());
  return card;
}

}  // namespace ohmglow::report
