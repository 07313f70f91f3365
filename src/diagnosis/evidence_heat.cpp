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
    add(lines, sentence("{} has no like lug beside it: judged by its rise over air alone", name),
        kHouseRule);
  }
  if (lug.rise_over_air) {
    say_rise(lines, policy, msg("{}: rise over air {}: {}"), name, *lug.rise_over_air, kOverAir);
  } else {
    add(lines, sentence("{}: the air temperature is not known, no rise over air", name),
        kHouseRule);
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
        sentence(
            "{} stands beside {} on one phase and shares its current: where one of two is hot, "
            "the cold one is the bad one, for the hot one carries its part",
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
      lug.hot ? sentence("{} is hot: chance reaches {} with {} % confidence", lug_text(judging, at),
                         from, confidence)
              : sentence("{} is not called hot: chance reaches {} with {} % confidence",
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
         msg("{}: too close to call by its rise over like: {} begins {}, within the uncertainty"));
  if (!lug.rise_over_like || lug.grade.by == severity::DecidedBy::air) {
    say_of(lug.rise_over_air, kOverAir,
           msg("{}: too close to call by its rise over air: {} begins {}, within the uncertainty"));
  }
}

void say_relative(Lines& lines, const LugResult& lug) {
  if (!lug.rise_over_like || !lug.rise_over_air) return;
  const KelvinDifference like{lug.rise_over_like->value()};
  const KelvinDifference air{lug.rise_over_air->value()};
  const auto relative = severity::relative_difference(like, air);
  if (!relative) return;
  add(lines,
      sentence("relative difference {} %: {} over like of {} over air; it barely depends "
               "on the load",
               number(100 * *relative, 1), difference(like.value(), 1), difference(air.value(), 1)),
      kRelativeSource);
}

void say_projection(Lines& lines, const LugResult& lug, std::optional<Ampere> load,
                    const Motor* motor) {
  if (!load) {
    add(lines, sentence("load at the time of the image not recorded: no projection to rated load"),
        kHouseRule);
    return;
  }
  if (!motor || !motor->rated_a) {
    add(lines,
        sentence("load {} A; the rated current is not known: no projection to rated load",
                 in_amperes(*load)),
        kHouseRule);
    return;
  }
  if (!lug.projected_rise) return;
  const auto& projected = *lug.projected_rise;
  add(lines,
      sentence(
          "load {} A of {} A rated ({} %): at rated load the rise over like would be {} ± {} {} "
          "({} to {} {} with exponents {} and {})",
          in_amperes(*load), in_amperes(*motor->rated_a),
          number(100 * load->value() / motor->rated_a->value(), 0),
          bare(difference(projected.rise.value(), 1)), bare(difference(projected.u_k, 1)),
          kDifferenceUnit, bare(difference(projected.low.value(), 1)),
          bare(difference(projected.high.value(), 1)), kDifferenceUnit,
          number(severity::kLoadExponentLow, 1), number(severity::kLoadExponentHigh, 1)),
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
                                          ? msg("lug at {}: above the conductor limit of {}")
                                          : msg("lug at {}: not above the conductor limit of {}"),
                                      text(now, limit), trimmed(temperature(limit.value(), 3)))};
  if (const auto projected = projected_temperature(lug, load, motor)) {
    const bool above = *projected > limit;
    const bool held_back = above && !(now > limit) && is_low_load(load, motor);
    line.push_back(sentence(held_back
                                ? msg("at rated load {}, above it, which does not raise the band "
                                      "because the load was under 40 %")
                            : above ? msg("at rated load {}, above it")
                                    : msg("at rated load {}, not above it"),
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
    bands.items.emplace_back(
        sentence("{} with {} % probability", sentence(band), number(100 * p, 0)));
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
  add(lines,
      sentence("{}: {}, given the uncertainties of both rises", lug_text(judging, at),
               std::move(likely)),
      lug.monte_carlo ? msg("propagation of distributions, JCGM 101:2008")
                      : msg("law of propagation of uncertainty, JCGM 100:2008, both rises normal"));
  if (judging.result.options.decision != severity::Decision::guarded) return;
  const auto id = [&judging](const severity::Grade& grade) {
    return sentence(judging.result.band_id(grade));
  };
  add(lines,
      sentence("guarded: limits lowered by {} u, band {}; simple acceptance gives {}",
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
      sentence("{}: linear propagation is not good enough here: 95 % interval {}, by Monte Carlo "
               "{}",
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
        sentence(
            "{} % of the trials have no temperature between {} and {} {}; the Monte Carlo figures "
            "are those of the others",
            number(100 * sampled.outside_share, 2), bare(temperature(-60, 0)),
            bare(temperature(1500, 0)), kTemperatureUnit),
        kHouseRule);
  }
  if (!sampled.is_stable) {
    add(lines,
        sentence("the Monte Carlo figures were not yet stable to {} % of u after {} trials",
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
