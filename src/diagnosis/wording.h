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
inline void add(Lines& lines, Sentence text, std::string_view source) {
  lines.push_back({std::move(text), sentence(source)});
}

// "phase B", as the survey calls it.
[[nodiscard]] Sentence phase_text(const Judging& judging, Phase phase);
// "T2 (phase B)"
[[nodiscard]] Sentence lug_text(const Judging& judging, LugIndex at);
// The place, or that it has no name.
[[nodiscard]] Filling place_text(const std::string& place);
// "starter, 2026-02-11"
[[nodiscard]] Sentence reading_text(const ElectricalResult& reading);
// "from 1 K" for a limit that its own value reaches, "above 15 K" for one that it does not.
[[nodiscard]] Sentence limit_text(const severity::Limit& limit, std::string_view unit);
// A temperature and a difference with one decimal, or three where one would print the limit itself.
[[nodiscard]] Number temperature_beside(double celsius, double limit);
[[nodiscard]] Number difference_beside(double kelvin, double limit);
// "18.4 ± 0.9 K"
[[nodiscard]] Sentence rise_text(const radiometry::Estimate& rise, int places);
// Percent with as many decimals as a small one needs; "2.26 ± 0.16 %".
[[nodiscard]] Number in_percent(Percent value);
[[nodiscard]] Sentence in_percent(Percent value, Percent u);
// Watts likewise.
[[nodiscard]] Number in_watts(double value_w);
[[nodiscard]] Number in_amperes(Ampere value);
// "10.7 ± 0.9 W" and "2.19 ± 0.05 mΩ"
[[nodiscard]] Sentence watts_text(Watt value, Watt u);
[[nodiscard]] Sentence excess_text(Ohm value, Ohm u);
// "97 %", "> 99 %", "< 1 %"
[[nodiscard]] Sentence probability_text(double value);
// "phase B", or the two phases that readings of an unknown connection may mean.
[[nodiscard]] Sentence named_phase_text(const Judging& judging, const electrical::Resolution& r);
// That most of the excess is in a stretch, for a finding that names one joint.
[[nodiscard]] Sentence larger_part_text(const SegmentResult& stretch);
// Names, parted by commas.
[[nodiscard]] List listed(const std::vector<std::string>& names);

// One column of a policy, and what a value in it reaches.
struct Column {
  std::optional<severity::Limit> severity::Band::*limit;
  std::string_view unit;
};
inline constexpr Column kOverLike{&severity::Band::over_like_k, "K"};
inline constexpr Column kOverAir{&severity::Band::over_air_k, "K"};
inline constexpr Column kPairUnbalance{&severity::Band::pair_unbalance_pct, "%"};

struct Reached {
  Sentence text;    // "above 15 K → urgent", "no band, the first begins from 1 K"
  Sentence source;  // of that band, else of the policy
  int places = 1;   // decimals that show on which side of each limit the value lies
};
[[nodiscard]] Reached reached(const severity::Policy& policy, const Column& column, double value);

// `message` takes what rises, by how much, and what that reaches (evidence_heat.cpp).
void say_rise(Lines& lines, const severity::Policy& policy, std::string_view message,
              const Sentence& what, const radiometry::Estimate& rise, const Column& column);

}  // namespace ohmglow::diagnosis
