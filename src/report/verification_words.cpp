#include "verification_words.h"

#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"
#include "words.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using diagnosis::Change;
using diagnosis::LugChange;
using diagnosis::Money;
using diagnosis::MotorChange;
using diagnosis::ReadingChange;
using diagnosis::Verification;

struct ChangeRow {
  std::string_view title;
  int level;
};
constexpr std::array<ChangeRow, 8> kChanges{{{msg("worse"), 4},
                                             {msg("fault elsewhere now"), 4},
                                             {msg("unchanged"), 4},
                                             {msg("not comparable"), 3},
                                             {msg("not proven"), 3},
                                             {msg("improved"), 2},
                                             {msg("repaired"), 1},
                                             {msg("no fault"), 0}}};
const ChangeRow& row_of(Change change) {
  return kChanges.at(static_cast<std::size_t>(change));
}

template <class Item>
bool is_fault(const Item& item) {
  return item.fault_before || item.fault_after;
}

std::string what_of(const LugChange& lug, const Survey& survey) {
  std::string component = lug.component.empty() ? "" : lug.component + ", ";
  if (!lug.component_after.empty()) {
    component = say("{} (now called {})", lug.component, lug.component_after) + ", ";
  }
  return component + say("lug {} ({})", lug.lug, phase_title(survey, lug.phase));
}

std::string what_of(const ReadingChange& reading) {
  return reading_title(reading.test, reading.place);
}

// A reading's watts belong to its sentence.
std::string reason_of(const ReadingChange& reading, const Survey& survey) {
  std::string text = written(reading.reason);
  if (!reading.before || !reading.after || !reading.before->excess || !reading.after->excess ||
      !reading.phase) {
    return text;
  }
  text +=
      "; " + say("excess of {} {} before, {} after", phase_title(survey, *reading.phase),
                 ohms_with_u(*reading.before->excess, reading.before->excess_u.value_or(Ohm{0})),
                 ohms_with_u(*reading.after->excess, reading.after->excess_u.value_or(Ohm{0})));
  if (reading.saved_w) {
    text += "; " + say("all three phases: {} W before, {} W after, {} W less at {} A",
                       decimals(reading.before->circuit_w->value(), 1),
                       decimals(reading.after->circuit_w->value(), 1),
                       plus_minus(reading.saved_w->value(), reading.saved_u_w->value()),
                       decimals(reading.at_a->value(), 1));
  }
  return text;
}

// "4 lugs and 1 reading", or nothing.
std::string counted_items(std::size_t lugs, std::size_t readings) {
  const std::string of_lugs = counted(lugs, msg("{} lug"), msg("{} lugs"));
  const std::string of_readings = counted(readings, msg("{} reading"), msg("{} readings"));
  if (lugs == 0) return readings == 0 ? "" : of_readings;
  return readings == 0 ? of_lugs : say("{} and {}", of_lugs, of_readings);
}

}  // namespace

std::string plus_minus(double value, double u) {
  constexpr int kMostPlaces = 2;
  const int places =
      u > 0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(u))), 0, kMostPlaces) : 1;
  return fmt::format("{} ± {}", decimals(value, places), decimals(u, places));
}

std::string title_of(Change change) {
  return tr(row_of(change).title);
}
int level_of(Change change) {
  return row_of(change).level;
}

std::vector<ChangeLine> fault_lines(const Verification& verification, const MotorChange& motor,
                                    const Survey& survey) {
  std::vector<ChangeLine> lines;
  for (const std::size_t i : motor.lugs) {
    const LugChange& lug = verification.lugs.at(i);
    if (is_fault(lug)) lines.push_back({lug.change, what_of(lug, survey), written(lug.reason)});
  }
  for (const std::size_t i : motor.readings) {
    const ReadingChange& reading = verification.readings.at(i);
    if (is_fault(reading))
      lines.push_back({reading.change, what_of(reading), reason_of(reading, survey)});
  }
  return lines;
}

std::string rest_line(const Verification& verification, const MotorChange& motor) {
  std::array<std::size_t, 2> even{};
  std::array<std::size_t, 2> unseen{};
  const auto add = [&](const auto& item, std::size_t kind) {
    if (is_fault(item)) return;
    ++(item.change == Change::even ? even : unseen).at(kind);
  };
  for (const std::size_t i : motor.lugs) add(verification.lugs.at(i), 0);
  for (const std::size_t i : motor.readings) add(verification.readings.at(i), 1);
  std::string text;
  if (const std::string items = counted_items(even[0], even[1]); !items.empty()) {
    text = say("{} without a fault both times", items);
  }
  if (const std::string items = counted_items(unseen[0], unseen[1]); !items.empty()) {
    text += text.empty() ? "" : "; ";
    text += say("{} seen without a fault could not be compared", items);
  }
  return text;
}

std::string money_text(double amount, const std::string& currency) {
  return decimals(amount, 0) + (currency.empty() ? "" : " " + currency);
}

std::string expected_text(const diagnosis::Expected& amount, const std::string& currency) {
  return say("{} ({} to {})", money_text(amount.value, currency), decimals(amount.low, 0),
             decimals(amount.high, 0));
}

std::string basis_of(const diagnosis::Evidence& assumption) {
  const std::string source = plainly(assumption.source);
  return source == "assumed" ? tr(source) : short_source(assumption.source);
}

std::vector<Fact> amounts(const Money& money, const std::string& currency, double period_years) {
  std::vector<Fact> list;
  if (money.energy_per_year) {
    list.push_back(
        {tr("Energy no longer wasted, a year"), money_text(*money.energy_per_year, currency)});
  }
  if (money.repair_cost) {
    list.push_back({tr("Cost of the repair"), money_text(*money.repair_cost, currency)});
  }
  if (money.energy_per_year && money.repair_cost) {
    list.push_back(
        {tr("Certain, in the first year"), money_text(*money.certain_first_year(), currency)});
  }
  if (money.risk_avoided) {
    list.push_back({say("Risk avoided in {} a: expected value and range, assumed",
                        decimals(period_years, std::floor(period_years) == period_years ? 0 : 1)),
                    expected_text(*money.risk_avoided, currency)});
  }
  return list;
}

std::vector<std::string> rules_in_words(const diagnosis::VerifyOptions& options) {
  return {
      say("Rises are compared at the larger of the two loads: the one seen at the lower load is "
          "brought there with exponent {}. What is said holds for every exponent from {} to {}.",
          decimals(severity::kLoadExponent, 1), decimals(severity::kLoadExponentLow, 1),
          decimals(severity::kLoadExponentHigh, 1)),
      say("A lug that stays even at a larger load is proven all the more. A load after the repair "
          "that is more than {} times smaller, or under {} % of rated, proves nothing.",
          decimals(options.load_ratio, 2), decimals(100 * severity::kLowLoad, 0)),
      tr("A change counts only if it is larger than twice its uncertainty. The two surveys are "
         "treated as independent."),
      tr("Repaired: the lug is under the first band, the like lugs have not grown warmer, and a "
         "winding resistance reading from after the repair shows the pairs at most 1 % out of "
         "balance."),
      tr("A reading or image proves something from the day of the repair on (repaired_on in "
         "motors.csv), else from the first day of the second survey."),
      tr("Watts are those of all three phases above the lowest one. Savings are certain; avoided "
         "risk is an expected value under assumptions, never a saving."),
      say("Emissivities that differ by more than {} between the surveys are not compared.",
          decimals(options.emissivity_change, 2)),
  };
}

}  // namespace ohmglow::report
