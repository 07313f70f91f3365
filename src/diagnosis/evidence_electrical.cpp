#include "ohmglow/current_unbalance.h"
#include "ohmglow/number_text.h"
#include "wording.h"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kLegsSource = msg(
    "legs R1 = (R12 + R31 − R23) / 2 and cyclic: the wye that the terminals show (circuit theory; "
    "in the manner of IEC 60034-2)");
constexpr std::string_view kUnbalanceSource =
    msg("100 × max|x − mean| / mean, NEMA MG 1 definition; limits: ");
constexpr std::string_view kSegmentSource =
    msg("readings at several places of one circuit solved together by weighted least squares "
        "(Kirchhoff; JCGM 100, 5.2); the probability is a lower bound (Bonferroni)");
constexpr std::string_view kMeterSource = msg(
    "linear propagation (JCGM 100, 5.1.2); meter_u_pct and resolution of readings.csv, else the "
    "house "
    "rule: 0.2 % and four digits");
constexpr std::string_view kVoltageSource =
    msg("NEMA MG 1 definition and derating curve (read off, ±0.01); negative sequence: "
        "IEC 61000-4-30");
constexpr std::string_view kCurrentSource =
    msg("NEMA MG 1: about 6 to 10 times the voltage unbalance is to be expected");

constexpr std::string_view kLockedRotorSource = msg(
    "negative-sequence impedance ≈ that of the locked rotor, ± 15 % (symmetrical components; the "
    "spread is a house rule)");
constexpr double kCoverageOfExcess = 2;  // JCGM 100, 6.3

// Excess of a phase's leg over the mean of the two others.
double excess_ohm(const ElectricalResult& reading, Phase phase) {
  const auto& legs = reading.resolution->legs;
  const std::size_t i = index_of(phase);
  return legs.at(i).value() - (legs.at((i + 1) % 3).value() + legs.at((i + 2) % 3).value()) / 2;
}

std::string listed(const std::vector<std::string>& names) {
  return fmt::format("{}", fmt::join(names, ", "));
}

// A cable that is expected to be long is no fault.
void say_cables(Lines& lines, const Judging& judging, std::size_t motor) {
  for (const SegmentResult& segment : judging.result.motors[motor].segments) {
    if (!segment.expected_cable) continue;
    const double mean =
        (segment.resistance[0] + segment.resistance[1] + segment.resistance[2]).value() / 3;
    add(lines,
        say("from {} to {} a conductor reads {} in the mean, its cable makes {}", segment.from,
            segment.to, ohms(Ohm{mean}), ohms(*segment.expected_cable)),
        msg("NEC chapter 9 table 8 or IEC 60228 class 2 at 20 °C (from memory), ± 10 % (house "
            "rule)"));
  }
}

// The readings of a circuit looked at from several places: what the excess loses between two of
// them sits between these two.
void say_segment(Lines& lines, const Judging& judging, std::size_t motor,
                 const std::vector<std::size_t>& counted) {
  const auto& segments = judging.result.motors[motor].segments;
  const auto& electrical = judging.result.motors[motor].electrical;
  const bool abnormal = std::any_of(counted.begin(), counted.end(),
                                    [&](std::size_t i) { return is_abnormal(electrical[i]); });
  if (segments.empty() || counted.size() < 2 || !abnormal) return;
  const auto worst = std::max_element(
      segments.begin(), segments.end(),
      [](const SegmentResult& a, const SegmentResult& b) { return a.excess < b.excess; });
  std::string text;
  for (const SegmentResult& segment : segments) {
    for (const std::size_t i : counted) {
      if (folded(electrical[i].place) != folded(segment.from)) continue;
      text += text.empty() ? "" : ", ";
      text += say("{} at {}", ohms(Ohm{excess_ohm(electrical[i], worst->phase)}),
                  segment.from.empty() ? tr("a place not named") : segment.from);
    }
  }
  text = say("excess of {} by place: {}", phase_text(judging, worst->phase), text);
  const std::string from = worst->from.empty() ? tr("a place not named") : worst->from;
  text += say(
      "; the largest part, {}, lies {} (± {}, {}, probability at least {})", ohms(worst->excess),
      worst->to.empty() ? say("beyond {}", from) : say("between {} and {}", from, worst->to),
      ohms(worst->excess_u), phase_text(judging, worst->phase),
      probability_text(worst->probability));
  if (!worst->imaged.empty()) text += say("; looked at there: {}", listed(worst->imaged));
  if (!worst->not_imaged.empty()) text += say("; not yet looked at: {}", listed(worst->not_imaged));
  add(lines, std::move(text), kSegmentSource);
  say_cables(lines, judging, motor);
}

void say_spread(Lines& lines, const Judging& judging, const ComponentCase& component) {
  const auto limit = severity::first_like_limit(judging.result.policy);
  if (!component.hot || !component.balanced_spread || !limit) return;
  const bool explained = currents_explain(judging, component);
  add(lines,
      say("with the currents' part divided out the lugs' rises over air spread by {}: {}",
          difference_beside(component.balanced_spread->value(), limit->value),
          explained ? tr("under the first band, the heat follows the currents")
                    : tr("the currents do not explain the heat")),
      msg("rise over air / (I / I mean)², heat goes with the current squared (I²R)"));
}

// What of the current unbalance the voltages explain; only the rest is the motor circuit's.
void say_remainder(Lines& lines, const std::array<double, 3>& currents, const Motor* motor,
                   const ElectricalResult* voltage) {
  const Percent measured = *electrical::unbalance(currents);
  const Percent u =
      electrical::unbalance_u(currents, electrical::default_meter(Test::line_current));
  if (!voltage) {
    if (measured <= u * kCoverageOfExcess) return;
    return add(lines,
               tr("no line_voltage reading: whether the supply or the motor circuit unbalances "
                  "the currents cannot be told"),
               kHouseRule);
  }
  const auto& v = voltage->values;
  const electrical::MotorRating rating{motor ? motor->rated_a : std::nullopt,
                                       motor ? motor->locked_rotor_a : std::nullopt};
  const auto expected = electrical::expected_current_unbalance(
      {Volt{v[0]}, Volt{v[1]}, Volt{v[2]}}, voltage->meter, rating,
      Ampere{(currents[0] + currents[1] + currents[2]) / 3});
  if (!expected) return;
  const electrical::Remainder left = electrical::remainder_of(measured, u, *expected);
  const std::string rest =
      left.significant
          ? say("{} ± {} % are left for the motor circuit", percent_text(left.value),
                percent_text(left.u))
          : say("nothing beyond ± {} % is left for the motor circuit", percent_text(left.u));
  add(lines,
      say("of the current unbalance {} ± {} % the voltages explain {} to {} %: {}",
          percent_text(measured), percent_text(u), percent_text(expected->low),
          percent_text(expected->high), rest),
      expected->from_locked_rotor ? kLockedRotorSource : kCurrentSource);
}

void say_currents(Lines& lines, const Loads& loads, const Motor* motor,
                  const ElectricalResult* voltage) {
  if (!loads[0] || !loads[1] || !loads[2]) return;
  const std::array<double, 3> currents{loads[0]->value(), loads[1]->value(), loads[2]->value()};
  const auto spread = electrical::unbalance(currents);
  if (!spread) return;
  std::string text = say("current unbalance {} %", percent_text(*spread));
  if (voltage && voltage->unbalance->value() > 0) {
    text += say(", {} times the voltage unbalance",
                decimals(spread->value() / voltage->unbalance->value(), 1));
  }
  add(lines, std::move(text), kCurrentSource);
  say_remainder(lines, currents, motor, voltage);
}

void say_voltage(Lines& lines, const ElectricalResult& voltage) {
  const std::string derating = voltage.derating
                                   ? say("derating factor {}", decimals(*voltage.derating, 2))
                                   : tr("do not run above 5 %");
  const bool above = *voltage.unbalance > electrical::kNormalVoltageUnbalance;
  add(lines,
      say(above ? msg("voltage unbalance {} % (negative sequence {} %, {}) at {}: above 1 %")
                : msg("voltage unbalance {} % (negative sequence {} %, {}) at {}: not above 1 %"),
          percent_text(*voltage.unbalance), percent_text(*voltage.negative_sequence), derating,
          reading_text(voltage)),
      kVoltageSource);
}

void say_excess(Lines& lines, const Judging& judging, const ElectricalResult& reading,
                const Loads& loads) {
  const electrical::Resolution& r = *reading.resolution;
  add(lines,
      say("{} has the highest leg (probability {}), {} ± {} above the mean of the two "
          "others. {}",
          phase_text(judging, r.phase), probability_text(r.phase_probability), ohms(r.excess),
          ohms(r.excess_u), r.note),
      kLegsSource);
  add(lines,
      say("the pair unbalance carries ± {} % from a meter of {} % of the reading and a "
          "least count of {}",
          percent_text(r.pair_unbalance_u), short_number(reading.meter.u.value()),
          ohms(Ohm{reading.meter.least_count.value_or(0)})),
      kMeterSource);
  if (const auto current = current_in(loads, r.phase)) {
    add(lines,
        say("excess {} in {} makes {} ± {} W at {} A", ohms(r.excess), phase_text(judging, r.phase),
            watts_text(electrical::excess_heat(r.excess, *current).value()),
            watts_text(electrical::excess_heat_u(r.excess, r.excess_u, *current).value()),
            amperes_text(*current)),
        kJoule);
  }
}

}  // namespace

std::vector<Evidence> reading_evidence(const Judging& judging, std::size_t motor,
                                       const ElectricalResult& reading,
                                       const std::vector<std::size_t>& counted,
                                       const Loads& loads) {
  Lines lines;
  const electrical::Resolution& r = *reading.resolution;
  const Reached what = reached(judging.result.policy, kPairUnbalance, reading.unbalance->value());
  add(lines,
      say("pair unbalance {} % (legs {} %) of winding resistance at {}: {}",
          decimals(r.pair_unbalance.value(), what.places), percent_text(r.leg_unbalance),
          reading_text(reading), what.text),
      tr(kUnbalanceSource) + what.source);
  if (is_abnormal(reading)) say_excess(lines, judging, reading, loads);
  say_segment(lines, judging, motor, counted);
  return lines;
}

std::vector<Evidence> supply_evidence(const Judging& judging, std::size_t index) {
  Lines lines;
  const ComponentCase& component = judging.components[index];
  const auto& electrical = judging.result.motors[component.motor].electrical;
  const ElectricalResult* voltage = component.voltage ? &electrical[*component.voltage] : nullptr;
  say_spread(lines, judging, component);
  say_currents(lines, judging.result.components[index].load_a, judging.motor_of(component),
               voltage);
  if (voltage) say_voltage(lines, *voltage);
  return lines;
}

}  // namespace ohmglow::diagnosis
