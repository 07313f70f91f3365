#include "verifying.h"
#include "wording.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kMotorsTable = "motors.csv";
constexpr double kWattsPerKilowatt = 1000;
// Decimals of a price, as people give them.
constexpr int kMostOfPrice = 9;

class Assumptions {
 public:
  Assumptions(MotorChange& motor, Filling currency)
      : motor_(motor), currency_(std::move(currency)) {}

  void count(std::optional<double> Money::*part, double amount, Sentence text,
             std::string_view source) {
    motor_.money.*part = amount;
    motor_.assumptions.push_back(
        {layout("{} {}: {}", number(amount, 0), currency_, std::move(text)), sentence(source)});
  }
  void silent(Sentence text, std::string_view source) {
    motor_.assumptions.push_back({std::move(text), sentence(source)});
  }

 private:
  MotorChange& motor_;
  Filling currency_;
};

struct Failure {
  severity::Assumed probability;  // within the period
  severity::Assumed cost;
};

double within(double per_year, double years) {
  return 1 - std::pow(1 - std::min(per_year, 1.0), years);
}

// The mean of a triangular distribution (JCGM 101, 6.4.5).
double mean_of(const severity::Assumed& figure) {
  return (figure.low + figure.likely + figure.high) / 3;
}

std::optional<severity::Assumed> probability_of(Assumptions& lines, const MotorChange& motor,
                                                const severity::Policy& policy,
                                                const VerifyOptions& options) {
  const double years = options.period_years;
  if (options.failure_probability) {
    const double p = within(*options.failure_probability, years);
    lines.silent(sentence("probability of a failure within {} a, had nobody repaired: {}",
                          short_number(years), number(p, 2)),
                 "--failure-probability");
    return severity::Assumed{p, p, p};
  }
  if (!motor.band_before || !policy.failure_cost) {
    lines.silent(sentence("the policy gives no probability of failure: no risk is counted"),
                 policy.id);
    return std::nullopt;
  }
  const severity::Band& band = policy.bands.at(*motor.band_before);
  if (!band.failure_probability) {
    lines.silent(sentence("the policy gives no probability of failure: no risk is counted"),
                 policy.id);
    return std::nullopt;
  }
  const severity::Assumed& factor = policy.failure_cost->probability_factor;
  const double p = *band.failure_probability;
  const severity::Assumed all{within(p * factor.low, years), within(p * factor.likely, years),
                              within(p * factor.high, years)};
  lines.silent(sentence("probability of a failure within {} a, had nobody repaired: {} ({} to {}), "
                        "for the band {}",
                        short_number(years), number(all.likely, 2), number(all.low, 2),
                        number(all.high, 2), sentence(band.id)),
               policy.failure_source);
  return all;
}

severity::Assumed downtime_of(Assumptions& lines, const Motor* row, const severity::Policy& policy,
                              const VerifyOptions& options) {
  if (!row || !row->downtime_cost_per_h || (!options.downtime_h && !row->repair_h)) {
    lines.silent(sentence("downtime cost or repair time is not known: not counted"), kMotorsTable);
    return {};
  }
  severity::Assumed hours;
  if (options.downtime_h) {
    hours = *options.downtime_h;
  } else {
    const severity::Assumed& factor = policy.failure_cost->downtime_factor;
    hours = {*row->repair_h * factor.low, *row->repair_h * factor.likely,
             *row->repair_h * factor.high};
  }
  lines.silent(
      sentence("an unplanned stop takes {} h ({} to {}), at {} an hour", number(mean_of(hours), 1),
               number(hours.low, 1), number(hours.high, 1), number(*row->downtime_cost_per_h, 0)),
      options.downtime_h ? std::string_view("--downtime-h")
                         : std::string_view(policy.failure_cost->source));
  const double per_h = *row->downtime_cost_per_h;
  return {hours.low * per_h, mean_of(hours) * per_h, hours.high * per_h};
}

severity::Assumed replacement_of(Assumptions& lines, const Motor* row,
                                 const severity::Policy& policy) {
  if (!row || !row->replacement_cost) {
    lines.silent(sentence("no replacement cost is known: not counted"), kMotorsTable);
    return {};
  }
  const severity::Assumed& share = policy.failure_cost->motor_lost;
  lines.silent(sentence("{} % of failures ({} to {}) take the motor along, {} to replace",
                        number(100 * share.likely, 0), number(100 * share.low, 0),
                        number(100 * share.high, 0), number(*row->replacement_cost, 0)),
               policy.failure_cost->source);
  const double cost = *row->replacement_cost;
  return {cost * share.low, cost * share.likely, cost * share.high};
}

// Nothing may be claimed for what is not proven, nor for what was no finding.
void count_risk(Assumptions& lines, MotorChange& motor, const Motor* row,
                const severity::Policy& policy, const VerifyOptions& options) {
  if (!motor.band_before) {
    lines.silent(sentence("no finding of the first survey: no risk is counted"), kHouseRule);
    return;
  }
  const bool has_cost =
      row && (row->replacement_cost ||
              (row->downtime_cost_per_h && (row->repair_h || options.downtime_h.has_value())));
  if (!has_cost || !policy.failure_cost) {
    lines.silent(sentence("what a failure would cost is not known: no risk is counted"),
                 kMotorsTable);
    return;
  }
  const auto probability = probability_of(lines, motor, policy, options);
  if (!probability) return;
  const severity::Assumed downtime = downtime_of(lines, row, policy, options);
  const severity::Assumed replacement = replacement_of(lines, row, policy);
  motor.money.risk_avoided = Expected{probability->likely * (downtime.likely + replacement.likely),
                                      probability->low * (downtime.low + replacement.low),
                                      probability->high * (downtime.high + replacement.high)};
}

void count_energy(Assumptions& lines, const MotorChange& motor, const VerifyOptions& options) {
  if (!motor.saved_w) {
    lines.silent(
        sentence("no reading shows how many watts the excess burnt: energy is not counted"),
        kHouseRule);
    return;
  }
  if (!options.price_per_kwh || !options.hours_per_year) {
    lines.silent(sentence("energy is not counted without --price-per-kwh and --hours-per-year"),
                 kHouseRule);
    return;
  }
  const double kwh = motor.saved_w->value() / kWattsPerKilowatt * *options.hours_per_year;
  lines.count(&Money::energy_per_year, kwh * *options.price_per_kwh,
              sentence("{} W no longer wasted for {} h a year, {} kWh at {} each",
                       in_watts(motor.saved_w->value()), number(*options.hours_per_year, 0),
                       number(kwh, 0), short_number(*options.price_per_kwh, kMostOfPrice)),
              kJoule);
}

}  // namespace

std::optional<double> Money::certain_first_year() const {
  if (!energy_per_year && !repair_cost) return std::nullopt;
  return energy_per_year.value_or(0) - repair_cost.value_or(0);
}

bool Money::is_known() const {
  return energy_per_year || repair_cost || risk_avoided;
}

// Readings upstream see what those downstream see: the watts of one motor are those of the reading
// that showed the most of it, not their sum.
void count_money(MotorChange& motor, const std::vector<ReadingChange>& readings,
                 const Assessment& after, const VerifyOptions& options) {
  const ReadingChange* largest = nullptr;
  const auto heat_of = [](const ReadingChange& reading) {
    return std::max(reading.before->circuit_w->value(), reading.after->circuit_w->value());
  };
  for (const std::size_t i : motor.readings) {
    const ReadingChange& reading = readings[i];
    if (!reading.saved_w) continue;
    if (!largest || heat_of(reading) > heat_of(*largest)) largest = &reading;
  }
  const Motor* row = after.survey.find_motor(motor.motor);
  motor.currency = row ? row->currency : "";
  if (motor.change != Change::repaired && motor.change != Change::improved) return;
  if (largest) {
    motor.saved_w = largest->saved_w;
    motor.saved_u_w = largest->saved_u_w;
  }
  Assumptions lines(motor, motor.currency.empty()
                               ? Filling(layout("({})", sentence("no currency given")))
                               : Filling(motor.currency));
  count_energy(lines, motor, options);
  if (options.repair_cost) {
    lines.count(&Money::repair_cost, *options.repair_cost, sentence("spent on the repair"),
                "--repair-cost");
  } else {
    lines.silent(sentence("the cost of the repair is not given: not counted"), "--repair-cost");
  }
  if (motor.change == Change::repaired) {
    count_risk(lines, motor, row, after.policy, options);
  } else {
    lines.silent(sentence("not proven sound: no failure counts as avoided"), kHouseRule);
  }
}

std::vector<CurrencyTotal> totals_of(const std::vector<MotorChange>& motors) {
  std::vector<CurrencyTotal> totals;
  const auto add = [](std::optional<double>& sum, const std::optional<double>& amount) {
    if (amount) sum = sum.value_or(0) + *amount;
  };
  for (const MotorChange& motor : motors) {
    const Money& its = motor.money;
    if (!its.is_known()) continue;
    auto at = std::find_if(totals.begin(), totals.end(), [&](const CurrencyTotal& total) {
      return total.currency == motor.currency;
    });
    if (at == totals.end()) {
      totals.push_back(CurrencyTotal{motor.currency, {}});
      at = totals.end() - 1;
    }
    add(at->money.energy_per_year, its.energy_per_year);
    add(at->money.repair_cost, its.repair_cost);
    if (!its.risk_avoided) continue;
    // The same assumptions stand behind all motors: their ends add up.
    Expected sum = at->money.risk_avoided.value_or(Expected{});
    sum.value += its.risk_avoided->value;
    sum.low += its.risk_avoided->low;
    sum.high += its.risk_avoided->high;
    at->money.risk_avoided = sum;
  }
  return totals;
}

}  // namespace ohmglow::diagnosis
