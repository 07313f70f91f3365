#include "verifying.h"
#include "wording.h"

#include <algorithm>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kMotorsTable = "motors.csv";
constexpr double kWattsPerKilowatt = 1000;
// Decimals of a price, as people give them.
constexpr int kMostOfPrice = 9;

// What each amount of Money is, for sums and totals. The repair is spent, all else is gained.
struct Part {
  std::optional<double> Money::*amount;
  double sign;
};
constexpr std::array kParts{
    Part{&Money::replacement_avoided, 1},
    Part{&Money::downtime_avoided, 1},
    Part{&Money::energy_per_year, 1},
    Part{&Money::repair_cost, -1},
};

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

// Nothing may be claimed for what is not proven.
void count_avoided(Assumptions& lines, const Motor* row) {
  if (row && row->replacement_cost) {
    lines.count(
        &Money::replacement_avoided, *row->replacement_cost,
        sentence("the motor would have had to be replaced had the connection failed in service"),
        kMotorsTable);
  } else {
    lines.silent(sentence("no replacement cost is known: not counted"), kMotorsTable);
  }
  if (row && row->downtime_cost_per_h && row->repair_h) {
    lines.count(&Money::downtime_avoided, *row->downtime_cost_per_h * *row->repair_h,
                sentence("one unplanned stop of {} h at {} an hour would have followed",
                         short_number(*row->repair_h), number(*row->downtime_cost_per_h, 0)),
                kMotorsTable);
  } else {
    lines.silent(sentence("downtime cost or repair time is not known: not counted"), kMotorsTable);
  }
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

std::optional<double> Money::net_first_year() const {
  std::optional<double> net;
  for (const Part& part : kParts) {
    if (this->*part.amount) net = net.value_or(0) + part.sign * *(this->*part.amount);
  }
  return net;
}

// Readings upstream see what those downstream see: the watts of one motor are those of the reading
// that showed the largest excess, not their sum.
void count_money(MotorChange& motor, const std::vector<ReadingChange>& readings,
                 const Survey& survey, const VerifyOptions& options) {
  const ReadingChange* largest = nullptr;
  for (const std::size_t i : motor.readings) {
    const ReadingChange& reading = readings[i];
    if (!reading.saved_w) continue;
    if (!largest || *reading.before->excess > *largest->before->excess) largest = &reading;
  }
  const Motor* row = survey.find_motor(motor.motor);
  motor.currency = row ? row->currency : "";
  if (motor.change != Change::repaired && motor.change != Change::improved) return;
  if (largest) motor.saved_w = largest->saved_w;
  Assumptions lines(motor, motor.currency.empty()
                               ? Filling(layout("({})", sentence("no currency given")))
                               : Filling(motor.currency));
  if (motor.change == Change::repaired) {
    count_avoided(lines, row);
  } else {
    lines.silent(sentence("not proven sound: no failure counts as avoided"), kHouseRule);
  }
  count_energy(lines, motor, options);
  if (options.repair_cost) {
    lines.count(&Money::repair_cost, *options.repair_cost, sentence("spent on the repair"),
                "--repair-cost");
  } else {
    lines.silent(sentence("the cost of the repair is not given: not counted"), "--repair-cost");
  }
}

std::vector<CurrencyTotal> totals_of(const std::vector<MotorChange>& motors) {
  std::vector<CurrencyTotal> totals;
  for (const MotorChange& motor : motors) {
    if (!motor.money.net_first_year()) continue;
    auto at = std::find_if(totals.begin(), totals.end(), [&](const CurrencyTotal& total) {
      return total.currency == motor.currency;
    });
    if (at == totals.end()) {
      totals.push_back(CurrencyTotal{motor.currency, {}});
      at = totals.end() - 1;
    }
    for (const Part& part : kParts) {
      const auto& amount = motor.money.*part.amount;
      if (amount) at->money.*part.amount = (at->money.*part.amount).value_or(0) + *amount;
    }
  }
  return totals;
}

}  // namespace ohmglow::diagnosis
