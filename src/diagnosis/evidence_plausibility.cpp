#include "offered/electrical/heat_balance.h"
#include "wording.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

using electrical::Interval;
using electrical::LugSetting;

constexpr std::string_view kBalanceSource = msg(
    "free convection (Churchill and Chu), radiation, and a long fin for each conductor; from bare "
    "metal with one lead to a covered lug with three (house rule)");
constexpr std::string_view kSightSource = msg(
    "an excess x in one leg makes 100·x / (3·leg + x) % in the pairs (circuit theory); limit 1 %: "
    "common practice, no source; two standard uncertainties of the meter");
constexpr std::string_view kHolmSource = msg(
    "V² = 4 L (T² − T0²), softening and melting voltages of contact spots (Holm, from memory), if "
    "the whole excess lies in one contact");

// What one lug of a component gives to hold heat and ohms against each other.
struct Witness {
  const LugResult* lug = nullptr;
  double rise_k = 0;
  double rise_u_k = 0;
  Sentence rise;  // "12.3 K over like"
  std::optional<Ampere> current;
  std::optional<LugSetting> setting;  // absent: the lug's area or its conductor is not known
  Sentence missing;                   // which of them
};

std::optional<Witness> witness_of(const Judging& judging, std::size_t index, LugIndex at) {
  Witness witness;
  witness.lug = &judging.lug(at);
  const auto& rise =
      witness.lug->rise_over_like ? witness.lug->rise_over_like : witness.lug->rise_over_air;
  if (!rise || !witness.lug->temperature_c) return std::nullopt;
  witness.rise_k = rise->value();
  witness.rise_u_k = rise->u();
  witness.rise = sentence(witness.lug->rise_over_like ? msg("{} over like") : msg("{} over air"),
                          difference(witness.rise_k, 1));
  witness.current = judging.load_of(at);
  if (witness.current && witness.current->value() <= 0) witness.current.reset();
  witness.setting = lug_setting(judging, index, at);
  if (!witness.setting) {
    witness.missing = sentence("rated_a or the conductor's size in circuit.csv");
  }
  return witness;
}

// "12", or "8 to 30" where only bounds of the surface are known.
Sentence area_text(const LugSetting& setting) {
  if (!setting.area_high) return layout("{}", number(setting.area.value(), 0));
  return sentence("{} to {}", number(setting.area.value(), 0),
                  number(setting.area_high->value(), 0));
}

// The hottest of the measured lugs on a phase.
std::optional<LugIndex> lug_on(const Judging& judging, const ComponentCase& component,
                               Phase phase) {
  std::optional<LugIndex> found;
  const auto temperature = [&](LugIndex at) { return judging.lug(at).temperature_c->value(); };
  for (const LugIndex at : component.lugs) {
    if (judging.lug(at).phase != phase) continue;
    if (!found || temperature(at) > temperature(*found)) found = at;
  }
  return found;
}

// A sound leg: the mean of the two other phases.
Ohm sound_leg(const electrical::Resolution& r, Phase hot) {
  const std::size_t i = index_of(hot);
  return (r.legs.at((i + 1) % 3) + r.legs.at((i + 2) % 3)) * 0.5;
}

Sentence between_k(const Interval& k) {
  const auto end = [](double kelvin) {
    return one_more_place_below(10, bare(difference(kelvin, 0)));
  };
  return sentence("{} to {} {}", end(k.low), end(k.high), kDifferenceUnit);
}

// --- heat alone: could the meter have seen it?
// ----------------------------------------------------

void say_what_could_be_seen(Lines& lines, const Judging& judging, const Witness& w, Ohm leg) {
  // The excess at which 100·x / (3·leg + x) reaches the limit.
  const double limit = electrical::kNormalPairUnbalance.value() / 100;
  const Ohm visible{3 * leg.value() * limit / (1 - limit)};
  Sentence phase = phase_text(judging, w.lug->phase);
  add(lines,
      w.current
          ? sentence(
                "with {} in a sound leg the pairs show an excess in {} from {} on, which would "
                "be {} W at {} A",
                resistance(leg), std::move(phase), resistance(visible),
                in_watts(electrical::excess_heat(visible, *w.current).value()),
                in_amperes(*w.current))
          : sentence("with {} in a sound leg the pairs show an excess in {} from {} on",
                     resistance(leg), std::move(phase), resistance(visible)),
      kSightSource);
}

Sentence conclusion_on_reading(const Interval& expected_pct, const electrical::Resolution& r,
                               const Interval& ohm) {
  const double noise = kCoverage * r.pair_unbalance_u.value();
  const double limit = electrical::kNormalPairUnbalance.value();
  const double measured = r.pair_unbalance.value();
  if (expected_pct.high <= std::max(noise, limit)) {
    return sentence(
        "the readings cannot see this heat; measure across the joint itself, where {} to {} would "
        "stand alone",
        resistance(Ohm{ohm.low}), resistance(Ohm{ohm.high}));
  }
  if (expected_pct.low > limit && expected_pct.low - measured > noise) {
    return sentence(
        "the readings contradict the heat, which must come from elsewhere than this excess");
  }
  return sentence(
      "the readings may or may not see this heat; a meter with a smaller uncertainty, or one "
      "across the joint itself, would tell");
}

void say_expected(Lines& lines, const Judging& judging, const Witness& w,
                  const electrical::Resolution& r) {
  if (!w.setting || !w.current) {
    add(lines,
        sentence("whether the readings contradict the heat or cannot see it needs {}",
                 w.setting ? sentence("the load current") : w.missing),
        kHouseRule);
    return;
  }
  const Ohm leg = sound_leg(r, w.lug->phase);
  const KelvinDifference rise{w.rise_k};
  const Interval watts = electrical::watts_behind(*w.setting, rise);
  const Interval ohm = electrical::ohms_behind(*w.setting, rise, *w.current);
  const Interval pct{electrical::pair_unbalance_from(Ohm{ohm.low}, leg).value(),
                     electrical::pair_unbalance_from(Ohm{ohm.high}, leg).value()};
  add(lines,
      sentence("{} on a lug of {} cm² take {} to {} W: an excess of {} to {} in {} at {} A, "
               "{} to {} % in the pairs, which read {} ± {} %: {}",
               w.rise, area_text(*w.setting), in_watts(watts.low), in_watts(watts.high),
               resistance(Ohm{ohm.low}), resistance(Ohm{ohm.high}),
               phase_text(judging, w.lug->phase), in_amperes(*w.current),
               in_percent(Percent{pct.low}), in_percent(Percent{pct.high}),
               in_percent(r.pair_unbalance), in_percent(r.pair_unbalance_u),
               conclusion_on_reading(pct, r, ohm)),
      kBalanceSource);
}

// --- an excess alone, or both: is the rise believable?
// -------------------------------------------

// What an excess and a current make, for a message that begins "{} at {} A makes {} W".
struct Made {
  Number excess;
  Number current;
  Number watts;
};
Made made_by(Ohm excess, Ampere current) {
  return {resistance(excess), in_amperes(current),
          in_watts(electrical::excess_heat(excess, current).value())};
}

void say_contact(Lines& lines, Ohm excess, const Witness& w) {
  const Volt drop{excess.value() * w.current->value()};
  List reached;
  for (const electrical::ContactMetal& metal : electrical::contact_metals()) {
    if (drop < metal.softening) continue;
    reached.items.emplace_back(
        sentence(drop < metal.melting ? msg("{} softens") : msg("{} melts"), sentence(metal.name)));
  }
  if (reached.items.empty()) return;
  add(lines,
      sentence("danger sign: {} × {} A are {} mV across the contact; there a spot of {}",
               resistance(excess), in_amperes(*w.current), number(drop.value() * 1e3, 0),
               std::move(reached)),
      kHolmSource);
}

Sentence conclusion_on_size(Size size) {
  switch (size) {
    case Size::agrees:
      return sentence("consistent");
    case Size::heat_too_small:
      return sentence(
          "less than the whole excess makes here: part of it lies elsewhere in the circuit");
    case Size::heat_too_large:
      return sentence("more than the excess explains: more heat comes from elsewhere");
    case Size::unknown:
      break;
  }
  return sentence("the two cannot be compared");
}

void say_size(Lines& lines, const Witness& w, Ohm excess, Size size) {
  if (!w.current) {
    add(lines,
        sentence(
            "the current was not recorded: whether heat and ohms are of one size is not known"),
        kHouseRule);
    return;
  }
  if (excess.value() <= 0) return;
  const Made made = made_by(excess, *w.current);
  if (!w.setting) {
    add(lines,
        sentence("{} at {} A makes {} W for {}; whether that fits needs {}", made.excess,
                 made.current, made.watts, w.rise, w.missing),
        kJoule);
    return say_contact(lines, excess, w);
  }
  const Interval rise =
      electrical::rise_from(*w.setting, electrical::excess_heat(excess, *w.current));
  add(lines,
      sentence("{} at {} A makes {} W; a lug of {} cm² losing that stands {} over its like lugs; "
               "measured {}: {}",
               made.excess, made.current, made.watts, area_text(*w.setting), between_k(rise),
               w.rise, conclusion_on_size(size)),
      kBalanceSource);
  say_contact(lines, excess, w);
}

// The current at which the rise would reach a value: rises go with a power of it, the load
// exponent.
double current_for(double rise_k, double wanted_k, double current_a) {
  return current_a * std::pow(wanted_k / rise_k, 1 / severity::kLoadExponent);
}

void say_reading_alone(Lines& lines, const Judging& judging, const Witness& w,
                       const electrical::Resolution& r) {
  const auto limit = severity::first_like_limit(judging.result.policy);
  if (!w.current || !w.setting || r.excess.value() <= 0 || !limit) {
    add(lines,
        sentence("whether the heat contradicts the readings or could not show needs {}",
                 w.current ? w.missing.empty() ? sentence("an excess") : w.missing
                           : sentence("an image under load")),
        kHouseRule);
    return;
  }
  const Interval rise =
      electrical::rise_from(*w.setting, electrical::excess_heat(r.excess, *w.current));
  const double visible = std::max(limit->value, kCoverage * w.rise_u_k);
  Sentence verdict = sentence("the image may or may not show it; more load would tell");
  if (rise.low > w.rise_k + kCoverage * w.rise_u_k && rise.low > visible) {
    verdict = sentence(
        "the heat contradicts an excess at this component: it lies elsewhere in the circuit");
  } else if (rise.high < visible) {
    verdict = sentence("the image could not show it; from {} A on it would",
                       in_amperes(Ampere{current_for(rise.high, visible, w.current->value())}));
  }
  const Made made = made_by(r.excess, *w.current);
  add(lines,
      sentence("{} at {} A makes {} W; here it would make {} in {}, measured {}: {}", made.excess,
               made.current, made.watts, between_k(rise), phase_text(judging, w.lug->phase), w.rise,
               std::move(verdict)),
      kBalanceSource);
  say_contact(lines, r.excess, w);
}

}  // namespace

std::vector<Evidence> plausibility_evidence(const Judging& judging, std::size_t index) {
  Lines lines;
  const ComponentCase& component = judging.components[index];
  const Verdict verdict = judging.result.components[index].verdict;
  const ElectricalResult* reading = judging.reading_of(index);
  const JointResult* joint = judging.joint_of(index);
  if (verdict == Verdict::reading_only && reading && reading->abnormal) {
    const electrical::Resolution& r = *reading->resolution;
    const auto at = lug_on(judging, component, r.phase);
    const auto witness = at ? witness_of(judging, index, *at) : std::nullopt;
    if (witness) say_reading_alone(lines, judging, *witness, r);
    return lines;
  }
  if (!component.hot) return lines;
  const auto witness = witness_of(judging, index, component.hottest);
  if (!witness || witness->rise_k <= 0) return lines;
  if (verdict == Verdict::heat_only && reading) {
    const electrical::Resolution& r = *reading->resolution;
    say_what_could_be_seen(lines, judging, *witness, sound_leg(r, witness->lug->phase));
    say_expected(lines, judging, *witness, r);
  } else if (verdict == Verdict::confirmed || verdict == Verdict::phase_agrees) {
    const Ohm excess = joint && joint->bad ? joint->excess : component.ohms->excess;
    say_size(lines, *witness, excess, component.size.size);
  }
  return lines;
}

}  // namespace ohmglow::diagnosis
