#include "offered/electrical/current_unbalance.h"
#include "wording.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kLegsSource = msg(
    "legs R1 = (R12 + R31 − R23) / 2 and cyclic: the wye that the terminals show (circuit theory; "
    "in the manner of IEC 60034-2)");
constexpr std::string_view kUnbalanceSource =
    msg("100 × max|x − mean| / mean, NEMA MG 1 definition; limits: {}");
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

constexpr std::string_view kDriveSource =
    msg("common practice with pulse-width modulated drives, no source");
constexpr std::string_view kLockedRotorSource = msg(
    "negative-sequence impedance ≈ that of the locked rotor, ± 15 % (symmetrical components; the "
    "spread is a house rule)");
constexpr double kCoverageOfExcess = 2;  // JCGM 100, 6.3
constexpr double kLeastSaid = 0.01;
constexpr int kPairPlaces = 2;  // what a meter of four digits resolves

// Excess of a phase's leg over the mean of the two others.
double excess_ohm(const ElectricalResult& reading, Phase phase) {
  const auto& legs = reading.resolution->legs;
  const std::size_t i = index_of(phase);
  return legs.at(i).value() - (legs.at((i + 1) % 3).value() + legs.at((i + 2) % 3).value()) / 2;
}

// A cable that is expected to be long is no fault.
void say_cables(Lines& lines, const Judging& judging) {
  for (const SegmentResult& segment : judging.motor_result().segments) {
    if (!segment.expected_cable) continue;
    const double mean =
        (segment.resistance[0] + segment.resistance[1] + segment.resistance[2]).value() / 3;
    add(lines,
        sentence("from {} to {}: {} a conductor on average; the cable alone makes {}", segment.from,
                 segment.to, resistance(Ohm{mean}), resistance(*segment.expected_cable)),
        msg("NEC chapter 9 table 8 or IEC 60228 class 2 at 20 °C (from memory), ± 10 % (house "
            "rule)"));
  }
}

Sentence largest_part(const Judging& judging, const SegmentResult& worst) {
  Filling from = place_text(worst.from);
  Sentence excess = excess_text(worst.excess, worst.excess_u);
  Sentence phase = phase_text(judging, worst.phase);
  // A bound from below cannot be "< 1 %".
  const double least = std::max(worst.probability, kLeastSaid);
  Sentence probability = probability_text(least);
  if (worst.to.empty()) {
    return sentence("the largest part, {} in {}, is beyond {} (probability at least {})",
                    std::move(excess), std::move(phase), std::move(from), std::move(probability));
  }
  return sentence("the largest part, {} in {}, is between {} and {} (probability at least {})",
                  std::move(excess), std::move(phase), std::move(from), worst.to,
                  std::move(probability));
}

// The readings of a circuit looked at from several places: what the excess loses between two of
// them sits between these two.
void say_segment(Lines& lines, const Judging& judging, const std::vector<std::size_t>& counted) {
  const auto& segments = judging.motor_result().segments;
  const auto& electrical = judging.motor_result().electrical;
  const bool abnormal = std::any_of(counted.begin(), counted.end(),
                                    [&](std::size_t i) { return electrical[i].abnormal; });
  if (segments.empty() || counted.size() < 2 || !abnormal) return;
  const auto worst = std::max_element(
      segments.begin(), segments.end(),
      [](const SegmentResult& a, const SegmentResult& b) { return a.excess < b.excess; });
  List by_place;
  for (const SegmentResult& segment : segments) {
    for (const std::size_t i : counted) {
      if (folded(electrical[i].place) != folded(segment.from)) continue;
      by_place.items.emplace_back(sentence("{} at {}",
                                           resistance(Ohm{excess_ohm(electrical[i], worst->phase)}),
                                           place_text(segment.from)));
    }
  }
  std::vector<Sentence> text{
      sentence("excess in {} by place: {}", phase_text(judging, worst->phase), std::move(by_place)),
      largest_part(judging, *worst)};
  if (!worst->imaged.empty()) {
    text.push_back(sentence("imaged there: {}", listed(worst->imaged)));
  }
  if (!worst->not_imaged.empty()) {
    text.push_back(sentence("not imaged yet: {}", listed(worst->not_imaged)));
  }
  add(lines, clauses(std::move(text)), kSegmentSource);
  say_cables(lines, judging);
}

void say_spread(Lines& lines, const Judging& judging, const ComponentCase& component) {
  if (!component.hot || !component.balanced_spread || !component.unexplained_from_k) return;
  const bool explained = currents_explain(judging, component);
  Sentence verdict = !component.currents_unequal
                         ? sentence("the currents are balanced, so they are not the cause")
                     : explained ? sentence("the unequal currents explain the heat")
                                 : sentence("the currents are not the cause");
  add(lines,
      sentence(
          "after correcting for the currents the lugs differ by {}; up to {} would be chance: {}",
          difference(component.balanced_spread->value(), 1),
          difference(*component.unexplained_from_k, 1), std::move(verdict)),
      msg("rise over air / (I / I mean)ⁿ: heat goes with the current squared (I²R), n = 2; the air "
          "of an enclosure, which all three warm, brings n down to 1"));
}

// What of the current unbalance the voltages explain; only the rest is the motor circuit's.
void say_remainder(Lines& lines, const std::array<double, 3>& currents, const Motor* motor,
                   const ElectricalResult* voltage) {
  const Percent measured = *electrical::unbalance(currents);
  const Percent u =
      electrical::unbalance_u(currents, electrical::default_meter(Test::line_current));
  if (!voltage) {
    if (measured <= u * kCoverageOfExcess) return;
    return add(
        lines,
        sentence("no line voltages were measured, so the unequal currents may come from the supply "
                 "or from the motor circuit"),
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
  Sentence rest =
      left.significant
          ? sentence("{} remain for the motor circuit", in_percent(left.value, left.u))
          : sentence(
                "the rest is within its uncertainty of {} %, so nothing points to the motor "
                "circuit",
                in_percent(left.u));
  add(lines,
      sentence("current unbalance {}; the supply voltages explain {} to {} %: {}",
               in_percent(measured, u), in_percent(expected->low), in_percent(expected->high),
               std::move(rest)),
      expected->from_locked_rotor ? kLockedRotorSource : kCurrentSource);
}

void say_currents(Lines& lines, const Loads& loads, const Motor* motor,
                  const ElectricalResult* voltage) {
  if (!loads[0] || !loads[1] || !loads[2]) return;
  const std::array<double, 3> currents{loads[0]->value(), loads[1]->value(), loads[2]->value()};
  const auto spread = electrical::unbalance(currents);
  if (!spread) return;
  const bool has_voltage = voltage && voltage->unbalance->value() > 0;
  add(lines,
      has_voltage
          ? sentence("current unbalance {} %, {} times the voltage unbalance", in_percent(*spread),
                     number(spread->value() / voltage->unbalance->value(), 1))
          : sentence("current unbalance {} %", in_percent(*spread)),
      kCurrentSource);
  say_remainder(lines, currents, motor, voltage);
}

void say_voltage(Lines& lines, const ElectricalResult& voltage) {
  Sentence derating = voltage.derating
                          ? sentence("derating factor {}", number(*voltage.derating, 2))
                          : sentence("above 5 %: do not run");
  const bool above = *voltage.unbalance > electrical::kNormalVoltageUnbalance;
  add(lines,
      sentence(
          above ? msg("voltage unbalance {} % at {}, above 1 % (negative sequence {} %, {})")
                : msg("voltage unbalance {} % at {}, not above 1 % (negative sequence {} %, {})"),
          in_percent(*voltage.unbalance), reading_text(voltage),
          in_percent(*voltage.negative_sequence), std::move(derating)),
      kVoltageSource);
}

// 9.99 ± 0.16 % is no comfortable band.
void say_too_close(Lines& lines, const severity::Policy& policy, const ElectricalResult& reading) {
  for (const severity::Band& band : policy.bands) {
    const auto& limit = band.pair_unbalance_pct;
    if (!limit || !severity::is_too_close(reading.unbalance->value(),
                                          reading.resolution->pair_unbalance_u.value(), *limit))
      continue;
    return add(lines,
               sentence("too close to call: {} begins {}, and the meter's uncertainty is {} %",
                        sentence(band.id), limit_text(*limit, kPairUnbalance.unit),
                        in_percent(reading.resolution->pair_unbalance_u)),
               kMeterSource);
  }
}

void say_drift(Lines& lines, const ElectricalResult& reading) {
  if (!reading.first_pair_drift || !reading.drift_taken_off) return;
  const double drift = reading.first_pair_drift->value();
  add(lines,
      sentence(drift < 0 ? msg("the first pair read {} % less at the end: the winding cooled "
                               "meanwhile, and the pairs are brought to the first's temperature")
                         : msg("the first pair read {} % more at the end: the winding warmed "
                               "meanwhile, and the pairs are brought to the first's temperature"),
               number(std::fabs(drift), 2)),
      msg("copper and aluminium change by about 0.4 % a kelvin (inferred zero, IEC 60034-1); equal "
          "steps between the four readings (house rule)"));
}

void say_excess(Lines& lines, const Judging& judging, const ElectricalResult& reading,
                const Loads& loads) {
  const electrical::Resolution& r = *reading.resolution;
  add(lines,
      sentences({sentence("{} reads highest, {} above the mean of the other two (probability {}).",
                          phase_text(judging, r.phase), excess_text(r.excess, r.excess_u),
                          probability_text(r.phase_probability)),
                 r.note}),
      kLegsSource);
  add(lines,
      sentence("the unbalance is uncertain by {} % (meter accuracy {} %, last digit {})",
               in_percent(r.pair_unbalance_u), short_number(reading.meter.u.value()),
               resistance(Ohm{reading.meter.least_count.value_or(0)})),
      kMeterSource);
  if (const auto current = current_in(loads, r.phase)) {
    add(lines,
        sentence("the extra {} in {} gives {} at {} A", resistance(r.excess),
                 phase_text(judging, r.phase),
                 watts_text(electrical::excess_heat(r.excess, *current),
                            electrical::excess_heat_u(r.excess, r.excess_u, *current)),
                 in_amperes(*current)),
        kJoule);
  }
}

// What a meter at a drive can and cannot show.
void say_drive(Lines& lines, const Judging& judging, std::string_view component) {
  if (!judging.row || judging.row->fed_by != Feed::drive) return;
  const auto side = drive_side(judging, component);
  if (side != DriveSide::output) {
    add(lines,
        sentence(
            "drive input: the currents are peaky, and a few volts of supply unbalance make them "
            "unequal. An average-reading clamp reads low. They say nothing about the output"),
        kDriveSource);
  }
  if (side != DriveSide::input) {
    add(lines,
        sentence("drive output: measure the currents with a true-RMS clamp that states its lowest "
                 "frequency, averaged over 10 to 30 s. Compare the phases; output voltages are "
                 "not supply voltages"),
        kDriveSource);
  }
}

}  // namespace

std::vector<Evidence> reading_evidence(const Judging& judging, const ElectricalResult& reading,
                                       const std::vector<std::size_t>& counted,
                                       const Loads& loads) {
  Lines lines;
  const electrical::Resolution& r = *reading.resolution;
  const Reached what = reached(judging.result.policy, kPairUnbalance, reading.unbalance->value());
  lines.push_back(
      {sentence("winding resistance at {}: pairs {} % unbalanced, legs {} %: {}",
                reading_text(reading),
                number(r.pair_unbalance.value(), std::max(what.places, kPairPlaces)),
                number(r.leg_unbalance.value(), std::max(what.places, kPairPlaces)), what.text),
       sentence(kUnbalanceSource, what.source)});
  say_drift(lines, reading);
  say_too_close(lines, judging.result.policy, reading);
  if (reading.abnormal) say_excess(lines, judging, reading, loads);
  say_segment(lines, judging, counted);
  return lines;
}

Evidence open_phase_evidence(const Judging& judging, const Loads& loads, Phase phase) {
  return {sentence("line currents {}, {} and {} A: {} carries none while the other two run",
                   in_amperes(*loads[0]), in_amperes(*loads[1]), in_amperes(*loads[2]),
                   phase_text(judging, phase)),
          sentence(msg("a line under 5 % of the two others carries none (house rule)"))};
}

std::vector<Evidence> supply_evidence(const Judging& judging, std::size_t index) {
  Lines lines;
  const ComponentCase& component = judging.components[index];
  const auto& electrical = judging.motor_result().electrical;
  const ElectricalResult* voltage = component.voltage ? &electrical[*component.voltage] : nullptr;
  say_spread(lines, judging, component);
  say_currents(lines, judging.result.components[index].load_a, judging.row, voltage);
  if (voltage) say_voltage(lines, *voltage);
  say_drive(lines, judging, judging.result.components[index].component);
  return lines;
}

}  // namespace ohmglow::diagnosis
