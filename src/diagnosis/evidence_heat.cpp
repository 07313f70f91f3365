#include "ohmglow/number_text.h"
#include "wording.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kProjectionSource = msg(
    "rise × (rated / load)^n, n = 1.8: loadability form of IEEE C37.010 and C37.20 (from memory); "
    "still air gives 1.6 to 1.84");
constexpr std::string_view kRelativeSource =
    msg("relative temperature difference, DL/T 664-2016 (from memory)");

void say_rise(Lines& lines, const severity::Policy& policy, std::string_view name,
              const radiometry::Estimate& rise, const Column& column) {
  const Reached what = reached(policy, column, rise.value());
  add(lines, fmt::format("{} {}: {}", name, rise_text(rise, what.places), what.text), what.source);
}

void say_rises(Lines& lines, const Judging& judging, std::size_t component, LugIndex at) {
  const severity::Policy& policy = judging.result.policy;
  const LugResult& lug = judging.lug(at);
  const std::string name = lug_text(judging, at);
  if (lug.rise_over_like) {
    say_rise(lines, policy, say("{}: rise over like", name), *lug.rise_over_like, kOverLike);
  } else if (judging.components[component].lugs.size() < 2) {
    add(lines, say("{} has no like lug beside it: judged by its rise over air alone", name),
        kHouseRule);
  }
  if (lug.rise_over_air) {
    say_rise(lines, policy, say("{}: rise over air", name), *lug.rise_over_air, kOverAir);
  } else {
    add(lines, say("{}: the air temperature is not known, no rise over air", name), kHouseRule);
  }
}

void say_relative(Lines& lines, const LugResult& lug) {
  if (!lug.rise_over_like || !lug.rise_over_air) return;
  const KelvinDifference like{lug.rise_over_like->value()};
  const KelvinDifference air{lug.rise_over_air->value()};
  const auto relative = severity::relative_difference(like, air);
  if (!relative) return;
  add(lines,
      say("relative difference {} %: {} over like of {} over air; it barely depends "
          "on the load",
          decimals(100 * *relative, 1), difference_text(like.value(), 1),
          difference_text(air.value(), 1)),
      kRelativeSource);
}

void say_projection(Lines& lines, const LugResult& lug, std::optional<Ampere> load,
                    const Motor* motor) {
  if (!load) {
    add(lines, tr("load at the time of the image not recorded: no projection to rated load"),
        kHouseRule);
    return;
  }
  if (!motor || !motor->rated_a) {
    add(lines,
        say("load {} A; the rated current is not known: no projection to rated load",
            amperes_text(*load)),
        kHouseRule);
    return;
  }
  if (!lug.projected_rise) return;
  const auto& projected = *lug.projected_rise;
  add(lines,
      say("load {} A of {} A rated ({} %): at rated load the rise over like would be {} ± {} {} "
          "({} to {} {} with exponents {} and {})",
          amperes_text(*load), amperes_text(*motor->rated_a),
          decimals(100 * load->value() / motor->rated_a->value(), 0),
          decimals(shown_difference(projected.rise.value()), 1),
          decimals(shown_difference(projected.u_k), 1), difference_unit(),
          decimals(shown_difference(projected.low.value()), 1),
          decimals(shown_difference(projected.high.value()), 1), difference_unit(),
          decimals(severity::kLoadExponentLow, 1), decimals(severity::kLoadExponentHigh, 1)),
      kProjectionSource);
}

void say_limit(Lines& lines, const LugResult& lug, std::optional<Ampere> load, const Motor* motor) {
  if (!motor || !motor->conductor_limit_c) return;
  const Celsius limit = *motor->conductor_limit_c;
  const Celsius now{lug.temperature_c->value()};
  const auto text = [](Celsius t, Celsius against) {
    return temperature_beside(t.value(), against.value());
  };
  std::string line =
      say(now > limit ? msg("lug at {}: above the conductor limit of {} {}")
                      : msg("lug at {}: not above the conductor limit of {} {}"),
          text(now, limit), short_number(shown_temperature(limit.value())), temperature_unit());
  if (const auto projected = projected_temperature(lug, load, motor)) {
    line += say(*projected > limit ? msg("; at rated load {}, above it")
                                   : msg("; at rated load {}, not above it"),
                text(*projected, limit));
    if (*projected > limit && !(now > limit) && is_low_load(load, motor)) {
      line += tr(", which does not raise the band because the load was under 40 %");
    }
  }
  add(lines, std::move(line),
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

std::string likely_bands(const severity::Policy& policy, const std::vector<double>& probability) {
  std::string text;
  double none = 1;
  const auto add_band = [&text](std::string_view band, double p) {
    if (p < kHardly) return;
    text += text.empty() ? "" : ", ";
    text += say("{} with {} % probability", tr(band), decimals(100 * p, 0));
  };
  for (std::size_t i = policy.bands.size(); i-- > 0;) {
    add_band(policy.bands[i].id, probability[i]);
    none -= probability[i];
  }
  add_band(msg("no band"), none);
  return text;
}

void say_probability(Lines& lines, const Judging& judging, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  const severity::Policy& policy = judging.result.policy;
  if (lug.band_probability.size() != policy.bands.size() || policy.bands.empty()) return;
  const std::string text = likely_bands(policy, lug.band_probability);
  if (text.empty()) return;
  add(lines, say("{}: {}, given the uncertainties of both rises", lug_text(judging, at), text),
      lug.monte_carlo ? msg("propagation of distributions, JCGM 101:2008")
                      : msg("law of propagation of uncertainty, JCGM 100:2008, both rises normal"));
  if (judging.result.options.decision != severity::Decision::guarded) return;
  const auto id = [&judging](const severity::Grade& grade) {
    return tr(judging.result.band_id(grade));
  };
  add(lines,
      say("guarded: limits lowered by {} u, band {}; simple acceptance gives {}",
          decimals(severity::kGuardFactor, 2), id(lug.grade), id(lug.simple_grade)),
      msg("guard band, one-sided 5 %: JCGM 106:2012, clause 8 (from memory)"));
}

void say_disagreement(Lines& lines, std::string_view name, const std::optional<Spread>& spread,
                      const std::optional<radiometry::Estimate>& linear) {
  if (!spread || !linear) return;
  const double half = kCoverage95 * linear->u();
  const double apart = std::max(std::abs(linear->value() - half - spread->low),
                                std::abs(linear->value() + half - spread->high));
  if (apart <= std::max(kAgreement_k, kAgreement * linear->u())) return;
  const auto interval = [](double low, double high) {
    return say("{} to {} {}", decimals(shown_difference(low), 1),
               decimals(shown_difference(high), 1), difference_unit());
  };
  add(lines,
      say("{}: linear propagation is not good enough here: 95 % interval {}, by Monte Carlo "
          "{}",
          name, interval(linear->value() - half, linear->value() + half),
          interval(spread->low, spread->high)),
      msg("comparison of both intervals, JCGM 101:2008, clause 8; apart by more than 0.2 u and "
          "0.1 K (house rule)"));
}

void say_trials(Lines& lines, const LugResult& lug) {
  if (!lug.monte_carlo) return;
  const MonteCarlo& sampled = *lug.monte_carlo;
  say_disagreement(lines, tr("rise over like"), sampled.over_like, lug.rise_over_like);
  say_disagreement(lines, tr("rise over air"), sampled.over_air, lug.rise_over_air);
  if (sampled.outside_share > 0) {
    add(lines,
        say("{} % of the trials have no temperature between {} and {} {}; the Monte Carlo figures "
            "are those of the others",
            decimals(100 * sampled.outside_share, 2), decimals(shown_temperature(-60), 0),
            decimals(shown_temperature(1500), 0), temperature_unit()),
        kHouseRule);
  }
  if (!sampled.is_stable) {
    add(lines,
        say("the Monte Carlo figures were not yet stable to {} % of u after {} trials",
            decimals(100 * kTrialTolerance, 0), sampled.trials),
        msg("adaptive procedure, JCGM 101:2008, 7.9"));
  }
}

}  // namespace

std::vector<Evidence> heat_evidence(const Judging& judging, std::size_t component, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  const Motor* motor = judging.motor_of(judging.components[component]);
  const auto load = judging.load_of(at);
  Lines lines;
  say_rises(lines, judging, component, at);
  say_probability(lines, judging, at);
  say_trials(lines, lug);
  say_relative(lines, lug);
  say_projection(lines, lug, load, motor);
  say_limit(lines, lug, load, motor);
  for (const Flag flag : lug.flags) {
    Evidence line = consequence_of(flag);
    line.text = fmt::format("{}: {}", lug_text(judging, at), line.text);
    lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace ohmglow::diagnosis
