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
    witness.missing = sentence("rated current or conductor size (circuit.csv)");
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
                "the pairs (a sound leg has {}) would show an excess in {} of {} or more, which "
                "gives {} W at {} A",
                resistance(leg), std::move(phase), resistance(visible),
                in_watts(electrical::excess_heat(visible, *w.current).value()),
                in_amperes(*w.current))
          : sentence("the pairs (a sound leg has {}) would show an excess in {} of {} or more",
                     resistance(leg), std::move(phase), resistance(visible)),
      kSightSource);
}

Sentence conclusion_on_reading(const Interval& expected_pct, const electrical::Resolution& r) {
  const double noise = kCoverage * r.pair_unbalance_u.value();
  const double limit = electrical::kNormalPairUnbalance.value();
  const double measured = r.pair_unbalance.value();
  if (expected_pct.high <= std::max(noise, limit)) {
    return sentence("too little to see there. Measure across the joint itself");
  }
  if (expected_pct.low > limit && expected_pct.low - measured > noise) {
    return sentence("a joint this hot would show there, so the heat must have another cause");
  }
  return sentence(
      "the readings may or may not show it. Use a more accurate meter or measure across the joint "
      "itself");
}

void say_expected(Lines& lines, const Judging& judging, const Witness& w,
                  const electrical::Resolution& r) {
  if (!w.setting || !w.current) {
    add(lines,
        sentence("cannot tell whether the readings would show this heat: {} not known",
                 w.setting ? sentence("load current") : w.missing),
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
      sentence("a lug of {} cm² that is {} loses {} to {} W. At {} A that takes {} to {} in {}, "
               "which changes the pairs by {} to {} %; they read {}: {}",
               area_text(*w.setting), w.rise, in_watts(watts.low), in_watts(watts.high),
               in_amperes(*w.current), resistance(Ohm{ohm.low}), resistance(Ohm{ohm.high}),
               phase_text(judging, w.lug->phase), in_percent(Percent{pct.low}),
               in_percent(Percent{pct.high}), in_percent(r.pair_unbalance, r.pair_unbalance_u),
               conclusion_on_reading(pct, r)),
      kBalanceSource);
}

// --- an excess alone, or both: is the rise believable?
// -------------------------------------------

// What an excess and a current make, for a message that begins "{} at {} A gives {} W".
struct Made {
  Number excess;
  Number current;
  Number watts;
};
Made made_by(Ohm excess, Ampere current) {
  return {resistance(excess), in_amperes(current),
          in_watts(electrical::excess_heat(excess, current).value())};
}

// The conductor's metal at a component, by circuit.csv; absent: not known.
using Metal = std::optional<ConductorMaterial>;
Metal metal_at(const Judging& judging, std::size_t index) {
  const std::string place = folded(judging.result.components[index].component);
  for (const CircuitStop* stop : judging.circuit) {
    if (!stop->size.empty() && folded(stop->place) == place) return stop->material;
  }
  return std::nullopt;
}

// Plating of tin and the conductor's own metal are what a lug is sure to have.
bool may_be_there(std::string_view name, Metal metal) {
  if (name == "tin") return true;
  if (name == "copper") return metal != ConductorMaterial::aluminium;
  return name == "aluminium" && metal != ConductorMaterial::copper;
}

void say_contact(Lines& lines, Ohm excess, const Witness& w, Metal metal) {
  const Volt drop{excess.value() * w.current->value()};
  List effects;
  for (const electrical::ContactMetal& its : electrical::contact_metals()) {
    if (drop < its.softening || !may_be_there(its.name, metal)) continue;
    effects.items.emplace_back(
        sentence(drop < its.melting ? msg("soften {}") : msg("melt {}"), sentence(its.name)));
  }
  if (effects.items.empty()) return;
  add(lines,
      sentence(
          "if all of it is in one contact, {} mV across it is enough to {} at the contact spot",
          number(drop.value() * 1e3, 0), std::move(effects)),
      kHolmSource);
}

Sentence conclusion_on_size(Size size) {
  switch (size) {
    case Size::agrees:
      return sentence("they agree");
    case Size::heat_too_small:
      return sentence("less than all of it would make here, so part of it is elsewhere");
    case Size::heat_too_large:
      return sentence("more than it explains, so there is another source of heat");
    case Size::unknown:
      break;
  }
  return sentence("the two cannot be compared");
}

void say_size(Lines& lines, const Witness& w, Ohm excess, Size size, Metal metal) {
  if (!w.current) {
    add(lines, sentence("current not recorded, so heat and resistance cannot be compared in size"),
        kHouseRule);
    return;
  }
  if (excess.value() <= 0) return;
  const Made made = made_by(excess, *w.current);
  if (!w.setting) {
    return add(lines,
               sentence("{} at {} A gives {} W; the lug is {}. Cannot tell whether they agree: {} "
                        "not known",
                        made.excess, made.current, made.watts, w.rise, w.missing),
               kJoule);
  }
  const Interval rise =
      electrical::rise_from(*w.setting, electrical::excess_heat(excess, *w.current));
  add(lines,
      sentence("{} at {} A gives {} W. That should raise a lug of {} cm² by {}; measured {}: {}",
               made.excess, made.current, made.watts, area_text(*w.setting), between_k(rise),
               w.rise, conclusion_on_size(size)),
      kBalanceSource);
  // Only where the heat says that the whole excess may be in this joint.
  if (size == Size::agrees) say_contact(lines, excess, w, metal);
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
        sentence("cannot tell whether the image would show this excess: {} not known",
                 w.current ? w.missing.empty() ? sentence("its size") : w.missing
                           : sentence("load current")),
        kHouseRule);
    return;
  }
  const Interval rise =
      electrical::rise_from(*w.setting, electrical::excess_heat(r.excess, *w.current));
  const double visible = std::max(limit->value, kCoverage * w.rise_u_k);
  Sentence verdict = sentence("the image may or may not show that. Image again at higher load");
  if (rise.low > w.rise_k + kCoverage * w.rise_u_k && rise.low > visible) {
    verdict = sentence("this lug is too cool for that, so the excess is elsewhere in the circuit");
  } else if (rise.high < visible) {
    verdict = sentence("too little to see. Image again at {} A or more",
                       in_amperes(Ampere{current_for(rise.high, visible, w.current->value())}));
  }
  const Made made = made_by(r.excess, *w.current);
  add(lines,
      sentence("{} at {} A gives {} W. In one lug of {} that would be {}; measured {}: {}",
               made.excess, made.current, made.watts, phase_text(judging, w.lug->phase),
               between_k(rise), w.rise, std::move(verdict)),
      kBalanceSource);
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
    say_size(lines, *witness, excess, component.size.size, metal_at(judging, index));
  }
  return lines;
}

}  // namespace ohmglow::diagnosis
