#include "offered/vocabulary/number_text.h"
#include "wording.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kProjectionSource = msg(
    "rise × (rated / load)^n, n = 1.9: a lug in still air with its conductors attached gives 1.70 "
    "to 2.18 (computed, docs/method.md)");
constexpr std::string_view kScatterSource = msg(
    "the distances of like lugs that only scatter and measurement part: normal order statistics "
    "(Pearson & Hartley, table 29, for the range); what sound lugs scatter by is the policy's "
    "(common practice, no source)");
constexpr std::string_view kSisterSource =
    msg("parallel conductors: shares 1 : (1 + x) for an excess x of one run's resistance (circuit "
        "theory)");
constexpr std::string_view kTooCloseSource =
    msg("1.96 standard uncertainties on either side (JCGM 100, 6.3; JCGM 106, from memory)");
constexpr std::string_view kRelativeSource =
    msg("relative temperature difference, DL/T 664-2016 (from memory)");

void say_rises(Lines& lines, const Judging& judging, std::size_t component, LugIndex at) {
  const severity::Policy& policy = judging.result.policy;
  const LugResult& lug = judging.lug(at);
  const Sentence name = lug_text(judging, at);
  if (lug.rise_over_like) {
    say_rise(lines, policy, msg("{}: rise over like {}: {}"), name, *lug.rise_over_like, kOverLike);
  } else if (judging.components[component].lugs.size() < 2) {
    add(lines,
        sentence("{} has no like lug to compare with: judged by its rise over air alone", name),
        kHouseRule);
  }
  if (lug.rise_over_air) {
    say_rise(lines, policy, msg("{}: rise over air {}: {}"), name, *lug.rise_over_air, kOverAir);
  } else {
    add(lines, sentence("{}: air temperature not known, so no rise over air", name), kHouseRule);
  }
}

// A reference that cannot be relied on makes the rise over it as doubtful.
void say_reference(Lines& lines, const Judging& judging, LugIndex at) {
  for (const LugIndex reference : judging.lug(at).reference) {
    if (reference.image == at.image && reference.lug == at.lug) continue;
    for (const Flag flag : {Flag::too_small, Flag::low_emissivity, Flag::unconfirmed}) {
      if (!judging.lug(reference).has(flag)) continue;
      Evidence line = consequence_of(flag);
      line.text = sentence("compared with {}, which is itself doubtful: {}",
                           lug_text(judging, reference), std::move(line.text));
      lines.push_back(std::move(line));
    }
  }
}

// Lugs of one phase side by side share its current: the one that runs hot carries its sister's
// part.
void say_sister(Lines& lines, const Judging& judging, std::size_t component, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  if (!lug.hot || !lug.rise_over_like) return;
  for (const LugIndex other : judging.components[component].lugs) {
    const LugResult& sister = judging.lug(other);
    const bool is_sister =
        other.image == at.image && other.lug != at.lug && sister.phase == lug.phase && !sister.hot;
    if (!is_sister) continue;
    add(lines,
        sentence("{} shares its phase's current with {}: the colder of the two is likely the bad "
                 "one, because the hotter one carries its current",
                 lug_text(judging, at), sister.name),
        kSisterSource);
  }
}

// From where on the lug is called hot, and what makes that more than the first limit.
void say_hot_from(Lines& lines, const Judging& judging, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  const auto& rise = counting_rise(lug);
  if (!rise || !lug.hot_from_k || rise->value() <= 0) return;
  const Number from = difference(*lug.hot_from_k, 1);
  const Number confidence = number(100 * judging.result.policy.confidence, 0);
  add(lines,
      lug.hot ? sentence("{} is hot: sound lugs differ by up to {} by chance ({} % confidence)",
                         lug_text(judging, at), from, confidence)
              : sentence("{} is not hot: sound lugs differ by up to {} by chance ({} % confidence)",
                         lug_text(judging, at), from, confidence),
      judging.result.policy.sound_scatter.source.empty() ? kHouseRule : kScatterSource);
}

// A value near a limit is no comfortable letter.
void say_too_close(Lines& lines, const Judging& judging, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  const auto say_of = [&](const std::optional<radiometry::Estimate>& rise, const Column& column,
                          std::string_view message) {
    if (!rise) return;
    for (const severity::Band& band : judging.result.policy.bands) {
      const auto& limit = band.*column.limit;
      if (!limit || !severity::is_too_close(rise->value(), rise->u(), *limit)) continue;
      add(lines,
          sentence(message, lug_text(judging, at), sentence(band.id),
                   limit_text(*limit, column.unit)),
          kTooCloseSource);
      return;
    }
  };
  say_of(lug.rise_over_like, kOverLike,
         msg("{}: too close to call: {} begins {} over like, within the uncertainty"));
  if (!lug.rise_over_like || lug.grade.by == severity::DecidedBy::air) {
    say_of(lug.rise_over_air, kOverAir,
           msg("{}: too close to call: {} begins {} over air, within the uncertainty"));
  }
}

void say_relative(Lines& lines, const LugResult& lug) {
  if (!lug.rise_over_like || !lug.rise_over_air) return;
  const KelvinDifference like{lug.rise_over_like->value()};
  const KelvinDifference air{lug.rise_over_air->value()};
  const auto relative = severity::relative_difference(like, air);
  if (!relative) return;
  add(lines,
      sentence("{} % of this lug's rise over air is excess over the like lug ({} of {}); the "
               "share hardly changes with load",
               number(100 * *relative, 0), difference(like.value(), 1), difference(air.value(), 1)),
      kRelativeSource);
}

void say_projection(Lines& lines, const LugResult& lug, std::optional<Ampere> load,
                    const Motor* motor) {
  if (!load) {
    add(lines, sentence("load at the time of the image not recorded, so not scaled to full load"),
        kHouseRule);
    return;
  }
  if (!motor || !motor->rated_a) {
    add(lines,
        sentence("load {} A; rated current not known, so not scaled to full load",
                 in_amperes(*load)),
        kHouseRule);
    return;
  }
  if (!lug.projected_rise) return;
  const auto& projected = *lug.projected_rise;
  const int places = std::clamp(places_of_u(projected.u_k).value_or(1), 0, 1);
  const auto end = [places](KelvinDifference rise) {
    return bare(difference(rise.value(), places));
  };
  add(lines,
      sentence("load {} A, {} % of the rated {} A: at full load the rise over like would be {} ({} "
               "to {} "
               "{} with exponents {} and {})",
               in_amperes(*load), number(100 * load->value() / motor->rated_a->value(), 0),
               in_amperes(*motor->rated_a),
               plus_minus(difference(projected.rise.value(), 1), projected.u_k), end(projected.low),
               end(projected.high), kDifferenceUnit, number(severity::kLoadExponentLow, 1),
               number(severity::kLoadExponentHigh, 1)),
      kProjectionSource);
}

void say_limit(Lines& lines, const LugResult& lug, std::optional<Ampere> load, const Motor* motor) {
  if (!motor || !motor->conductor_limit_c) return;
  const Celsius limit = *motor->conductor_limit_c;
  const Celsius now{lug.temperature_c->value()};
  const auto text = [](Celsius t, Celsius against) {
    return temperature_beside(t.value(), against.value());
  };
  std::vector<Sentence> line{sentence(now > limit
                                          ? msg("{} now, over the conductor limit of {}")
                                          : msg("{} now, not over the conductor limit of {}"),
                                      text(now, limit), trimmed(temperature(limit.value(), 3)))};
  if (const auto projected = projected_temperature(lug, load, motor)) {
    const bool above = *projected > limit;
    const bool held_back = above && !(now > limit) && is_low_load(load, motor);
    line.push_back(sentence(held_back
                                ? msg("at full load {}: over the limit, but not counted because "
                                      "the load was under 40 %")
                            : above ? msg("at full load {}: over the limit")
                                    : msg("at full load {}: not over the limit"),
                            text(*projected, limit)));
  }
  add(lines, clauses(std::move(line)),
      msg("conductor_limit_c of the motor; a limit exceeded takes the most severe band (house "
          "rule)"));
}

// Below this share a band is not worth a word.
constexpr double kHardly = 0.005;
// Of the standard uncertainty, and in kelvin: how far the ends of the two 95 % intervals may lie
// apart before it is said (house rule; JCGM 101, 8.1 compares them in this way).
constexpr double kAgreement = 0.2;
constexpr double kAgreement_k = 0.1;
// Of a normal distribution's 95 % interval, in standard uncertainties.
constexpr double kCoverage95 = 1.96;

List likely_bands(const severity::Policy& policy, const std::vector<double>& probability) {
  List bands;
  double none = 1;
  const auto add_band = [&bands](std::string_view band, double p) {
    if (p < kHardly) return;
    bands.items.emplace_back(layout("{} {}", sentence(band), probability_text(p)));
  };
  for (std::size_t i = policy.bands.size(); i-- > 0;) {
    add_band(policy.bands[i].id, probability[i]);
    none -= probability[i];
  }
  add_band(msg("no band"), none);
  return bands;
}

void say_probability(Lines& lines, const Judging& judging, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  const severity::Policy& policy = judging.result.policy;
  if (lug.band_probability.size() != policy.bands.size() || policy.bands.empty()) return;
  List likely = likely_bands(policy, lug.band_probability);
  if (likely.items.empty()) return;
  const bool by_limit = lug.grade.by == severity::DecidedBy::limit;
  add(lines,
      sentence(by_limit ? msg("{}: by the rises alone: {}. The conductor's temperature limit "
                              "decides the band")
                        : msg("{}: probability of each band: {}"),
               lug_text(judging, at), std::move(likely)),
      lug.monte_carlo ? msg("propagation of distributions, JCGM 101:2008")
                      : msg("law of propagation of uncertainty, JCGM 100:2008, both rises normal"));
  if (judging.result.options.decision != severity::Decision::guarded) return;
  const auto id = [&judging](const severity::Grade& grade) {
    return sentence(judging.result.band_id(grade));
  };
  add(lines,
      sentence(
          "guarded: limits lowered by {} standard uncertainties, band {}; without the guard {}",
          number(severity::kGuardFactor, 2), id(lug.grade), id(lug.simple_grade)),
      msg("guard band, one-sided 5 %: JCGM 106:2012, clause 8 (from memory)"));
}

void say_disagreement(Lines& lines, Sentence name, const std::optional<Spread>& spread,
                      const std::optional<radiometry::Estimate>& linear) {
  if (!spread || !linear) return;
  const double half = kCoverage95 * linear->u();
  const double apart = std::max(std::abs(linear->value() - half - spread->low),
                                std::abs(linear->value() + half - spread->high));
  if (apart <= std::max(kAgreement_k, kAgreement * linear->u())) return;
  const auto interval = [](double low, double high) {
    return sentence("{} to {} {}", bare(difference(low, 1)), bare(difference(high, 1)),
                    kDifferenceUnit);
  };
  add(lines,
      sentence("{}: 95 % interval {} by linear propagation, {} by Monte Carlo: rely on Monte Carlo",
               std::move(name), interval(linear->value() - half, linear->value() + half),
               interval(spread->low, spread->high)),
      msg("comparison of both intervals, JCGM 101:2008, clause 8; apart by more than 0.2 u and "
          "0.1 K (house rule)"));
}

void say_trials(Lines& lines, const LugResult& lug) {
  if (!lug.monte_carlo) return;
  const MonteCarlo& sampled = *lug.monte_carlo;
  say_disagreement(lines, sentence("rise over like"), sampled.over_like, lug.rise_over_like);
  say_disagreement(lines, sentence("rise over air"), sampled.over_air, lug.rise_over_air);
  if (sampled.outside_share > 0) {
    add(lines,
        sentence("{} % of the trials gave no temperature between {} and {} {} and were left out",
                 number(100 * sampled.outside_share, 2), bare(temperature(-60, 0)),
                 bare(temperature(1500, 0)), kTemperatureUnit),
        kHouseRule);
  }
  if (!sampled.is_stable) {
    add(lines,
        sentence("Monte Carlo was not yet stable to {} % of the uncertainty after {} trials",
                 number(100 * kTrialTolerance, 0), number(static_cast<double>(sampled.trials), 0)),
        msg("adaptive procedure, JCGM 101:2008, 7.9"));
  }
}

}  // namespace

void say_rise(Lines& lines, const severity::Policy& policy, std::string_view message,
              const Sentence& what, const radiometry::Estimate& rise, const Column& column) {
  Reached band = reached(policy, column, rise.value());
  lines.push_back({sentence(message, what, rise_text(rise, band.places), std::move(band.text)),
                   std::move(band.source)});
}

std::vector<Evidence> heat_evidence(const Judging& judging, std::size_t component, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  const Motor* motor = judging.row;
  const auto load = judging.load_of(at);
  Lines lines;
  say_rises(lines, judging, component, at);
  say_reference(lines, judging, at);
  say_hot_from(lines, judging, at);
  say_sister(lines, judging, component, at);
  say_too_close(lines, judging, at);
  say_probability(lines, judging, at);
  say_trials(lines, lug);
  say_relative(lines, lug);
  say_projection(lines, lug, load, motor);
  say_limit(lines, lug, load, motor);
  for (const Flag flag : lug.flags) {
    Evidence line = consequence_of(flag);
    line.text = layout("{}: {}", lug_text(judging, at), std::move(line.text));
    lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace ohmglow::diagnosis
