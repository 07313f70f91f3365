#include "verification_words.h"

#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"
#include "words.h"

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
constexpr std::array<ChangeRow, 6> kChanges{{{msg("worse"), 4},
                                             {msg("unchanged"), 4},
                                             {msg("not comparable"), 3},
                                             {msg("improved"), 2},
                                             {msg("repaired"), 1},
                                             {msg("no fault"), 0}}};
const ChangeRow& row_of(Change change) {
  return kChanges.at(static_cast<std::size_t>(change));
}

struct AmountRow {
  std::string_view label;
  std::optional<double> Money::*amount;
};
constexpr std::array kAmounts{
    AmountRow{msg("Replacement avoided"), &Money::replacement_avoided},
    AmountRow{msg("Downtime avoided"), &Money::downtime_avoided},
    AmountRow{msg("Energy no longer wasted, a year"), &Money::energy_per_year},
    AmountRow{msg("Cost of the repair"), &Money::repair_cost},
};

template <class Item>
bool is_fault(const Item& item) {
  return item.fault_before || item.fault_after;
}

std::string what_of(const LugChange& lug, const Survey& survey) {
  const std::string component = lug.component.empty() ? "" : lug.component + ", ";
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
  text += "; " + say("excess of {} {} before, {} after", phase_title(survey, *reading.phase),
                     ohms(*reading.before->excess), ohms(*reading.after->excess));
  if (reading.saved_w) {
    text += ", " + say("{} ± {} W less heat at {} A", decimals(reading.saved_w->value(), 1),
                       decimals(reading.saved_u_w->value(), 1), decimals(reading.at_a->value(), 1));
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

std::vector<Amount> amounts(const Money& money, const std::string& currency) {
  const std::string unit = currency.empty() ? "" : " " + currency;
  std::vector<Amount> list;
  for (const AmountRow& row : kAmounts) {
    const auto& amount = money.*row.amount;
    if (amount) list.push_back({tr(row.label), decimals(*amount, 0) + unit});
  }
  if (const auto net = money.net_first_year()) {
    list.push_back({tr("Together, in the first year"), decimals(*net, 0) + unit});
  }
  return list;
}

std::vector<std::string> rules_in_words(const diagnosis::VerifyOptions& options) {
  return {
      say("A rise after the repair is brought to the load at which the lug was seen "
          "before, with exponent {}; that the exponent may lie anywhere from {} to {} "
          "counts in its uncertainty. Loads that differ by more than a factor of {} are "
          "not compared.",
          decimals(severity::kLoadExponent, 1), decimals(severity::kLoadExponentLow, 1),
          decimals(severity::kLoadExponentHigh, 1), decimals(options.load_ratio, 2)),
      tr("Better or worse is said only of a change beyond twice its standard uncertainty; the two "
         "surveys share no inputs."),
      tr("Repaired: the lug is under the first band at that load, and a winding resistance reading "
         "taken after the first image shows the pairs at most 1 % out of balance."),
      say("Emissivities that differ by more than {} between the surveys are not compared.",
          decimals(options.emissivity_change, 2)),
  };
}

}  // namespace ohmglow::report
