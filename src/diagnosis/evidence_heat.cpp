#include "ohmglow/number_text.h"
#include "wording.h"

#include <fmt/format.h>

namespace ohmglow::diagnosis {
namespace {

constexpr std::string_view kProjectionSource =
    "rise × (rated / load)^n, n = 1.8: loadability form of IEEE C37.010 and C37.20 (from memory); "
    "still air gives 1.6 to 1.84";
constexpr std::string_view kRelativeSource =
    "relative temperature difference, DL/T 664-2016 (from memory)";

using Lines = std::vector<Evidence>;

void add(Lines& lines, std::string text, std::string_view source) {
  lines.push_back({std::move(text), std::string(source)});
}

void say_rise(Lines& lines, const severity::Policy& policy, std::string_view name,
              const radiometry::Estimate& rise, const Column& column) {
  const Reached what = reached(policy, column, rise.value());
  add(lines, fmt::format("{} {} K: {}", name, with_uncertainty(rise, what.places), what.text),
      what.source);
}

void say_rises(Lines& lines, const Judging& judging, std::size_t component, LugIndex at) {
  const severity::Policy& policy = judging.result.policy;
  const LugResult& lug = judging.lug(at);
  const std::string name = lug_text(judging, at);
  if (lug.rise_over_like) {
    say_rise(lines, policy, fmt::format("{}: rise over like", name), *lug.rise_over_like,
             kOverLike);
  } else if (judging.components[component].lugs.size() < 2) {
    add(lines, fmt::format("{} has no like lug beside it: judged by its rise over air alone", name),
        kHouseRule);
  }
  if (lug.rise_over_air) {
    say_rise(lines, policy, fmt::format("{}: rise over air", name), *lug.rise_over_air, kOverAir);
  } else {
    add(lines, fmt::format("{}: the air temperature is not known, no rise over air", name),
        kHouseRule);
  }
}

void say_relative(Lines& lines, const LugResult& lug) {
  if (!lug.rise_over_like || !lug.rise_over_air) return;
  const KelvinDifference like{lug.rise_over_like->value()};
  const KelvinDifference air{lug.rise_over_air->value()};
  const auto relative = severity::relative_difference(like, air);
  if (!relative) return;
  add(lines,
      fmt::format("relative difference {} %: {} K over like of {} K over air; it barely depends "
                  "on the load",
                  decimals(100 * *relative, 1), decimals(like.value(), 1),
                  decimals(air.value(), 1)),
      kRelativeSource);
}

void say_projection(Lines& lines, const LugResult& lug, std::optional<Ampere> load,
                    const Motor* motor) {
  if (!load) {
    add(lines, "load at the time of the image not recorded: no projection to rated load",
        kHouseRule);
    return;
  }
  if (!motor || !motor->rated_a) {
    add(lines,
        fmt::format("load {} A; the rated current is not known: no projection to rated load",
                    amperes_text(*load)),
        kHouseRule);
    return;
  }
  if (!lug.projected_rise) return;
  const auto& projected = *lug.projected_rise;
  add(lines,
      fmt::format("load {} A of {} A rated ({} %): at rated load the rise over like would be {} K "
                  "({} to {} K with exponents 1.5 and 2.0)",
                  amperes_text(*load), amperes_text(*motor->rated_a),
                  decimals(100 * load->value() / motor->rated_a->value(), 0),
                  decimals(projected.rise.value(), 1), decimals(projected.low.value(), 1),
                  decimals(projected.high.value(), 1)),
      kProjectionSource);
}

void say_limit(Lines& lines, const LugResult& lug, std::optional<Ampere> load, const Motor* motor) {
  if (!motor || !motor->conductor_limit_c) return;
  const Celsius limit = *motor->conductor_limit_c;
  const Celsius now{lug.temperature_c->value()};
  const auto text = [](Celsius t, Celsius against) {
    return beside_limit(t.value(), against.value());
  };
  std::string line = fmt::format("lug at {} °C: {} the conductor limit of {} °C", text(now, limit),
                                 now > limit ? "above" : "not above", short_number(limit.value()));
  if (const auto projected = projected_temperature(lug, load, motor)) {
    line += fmt::format("; at rated load {} °C, {}", text(*projected, limit),
                        *projected > limit ? "above it" : "not above it");
    if (*projected > limit && !(now > limit) && is_low_load(load, motor)) {
      line += ", which does not raise the band because the load was under 40 %";
    }
  }
  add(lines, std::move(line),
      "conductor_limit_c of the motor; a limit exceeded takes the most severe band (house rule)");
}

}  // namespace

std::vector<Evidence> heat_evidence(const Judging& judging, std::size_t component, LugIndex at) {
  const LugResult& lug = judging.lug(at);
  const Motor* motor = judging.motor_of(judging.components[component]);
  const auto load = judging.load_of(at);
  Lines lines;
  say_rises(lines, judging, component, at);
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
