#pragma once
// How numbers and names read in evidence.

#include "judging.h"

#include <string>
#include <vector>

namespace ohmglow::diagnosis {

inline constexpr std::string_view kCommonPractice = msg("common practice, no source");
inline constexpr std::string_view kHouseRule = msg("house rule (docs/method.md)");
inline constexpr std::string_view kJoule = msg("I²R (Joule's law)");

// What is said beside a result, a line and its source each.
using Lines = std::vector<Evidence>;
inline void add(Lines& lines, std::string text, std::string_view source) {
  lines.push_back({std::move(text), tr(source)});
}

// "phase B", as the survey calls it.
[[nodiscard]] std::string phase_text(const Judging& judging, Phase phase);
// "T2 (phase B)"
[[nodiscard]] std::string lug_text(const Judging& judging, LugIndex at);
// "starter, 2026-02-11"
[[nodiscard]] std::string reading_text(const ElectricalResult& reading);
// "from 1 K" for a limit that its own value reaches, "above 15 K" for one that it does not.
[[nodiscard]] std::string limit_text(const severity::Limit& limit, std::string_view unit);
// A limit as it was written: "15", "0.5".
[[nodiscard]] std::string short_number(double value);
// A temperature and a difference with one decimal, or three where one would print the limit itself.
[[nodiscard]] std::string temperature_beside(double celsius, double limit);
[[nodiscard]] std::string difference_beside(double kelvin, double limit);
// "18.4 ± 0.9 K"
[[nodiscard]] std::string rise_text(const radiometry::Estimate& rise, int places);
// Percent with as many decimals as a small one needs.
[[nodiscard]] std::string percent_text(Percent value);
// Watts likewise.
[[nodiscard]] std::string watts_text(double value_w);
[[nodiscard]] std::string amperes_text(Ampere value);
// "0.97", "> 0.999", "< 0.001"
[[nodiscard]] std::string probability_text(double value);
// "phase B", or the two phases that readings of an unknown connection may mean.
[[nodiscard]] std::string named_phase_text(const Judging& judging, const electrical::Resolution& r);

// One column of a policy, and what a value in it reaches.
struct Column {
  std::optional<severity::Limit> severity::Band::*limit;
  std::string_view unit;
};
inline constexpr Column kOverLike{&severity::Band::over_like_k, "K"};
inline constexpr Column kOverAir{&severity::Band::over_air_k, "K"};
inline constexpr Column kPairUnbalance{&severity::Band::pair_unbalance_pct, "%"};

struct Reached {
  std::string text;    // "above 15 K → urgent", "no band, the first begins from 1 K"
  std::string source;  // of that band, else of the policy
  int places = 1;      // decimals that show on which side of each limit the value lies
};
[[nodiscard]] Reached reached(const severity::Policy& policy, const Column& column, double value);

}  // namespace ohmglow::diagnosis
