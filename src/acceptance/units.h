#pragma once
/// The units of values and limits.

#include <string_view>

namespace ohmglow::acceptance {

inline constexpr std::string_view kMegaohm = "megaohm";
inline constexpr std::string_view kPercent = "pct";
inline constexpr std::string_view kMillimetre = "mm";
inline constexpr std::string_view kMil = "mil";
inline constexpr std::string_view kRatio = "ratio";
inline constexpr std::string_view kKelvin = "k";
inline constexpr std::string_view kRmsSpeed = "mm_s_rms";
inline constexpr std::string_view kPeakSpeed = "in_s_peak";
inline constexpr std::string_view kDisplacement = "mil_peak_to_peak";

}  // namespace ohmglow::acceptance
