#pragma once
/// What is hot on an image outside its marks.

#include "ohmglow/imaging.h"
#include "ohmglow/survey.h"

#include <cstdint>
#include <opencv2/core/mat.hpp>
#include <optional>
#include <span>

namespace ohmglow::marking {

/// A place that no mark covers and that is warmer than all around it.
struct HotPlace {
  cv::Point at;             ///< centre of its hottest 3×3 block
  std::int64_t pixels = 0;  ///< that are nearly as hot, in one piece
  /// Larger than a connection: a wall, a motor's frame, the sun on a cover.
  bool is_background = false;
};

/// The hottest such place, one of a connection's size before a larger one. What is warm because a
/// marked lug beside it is, its glow and the cable that it warms, is none: the heat falls from the
/// lug to there. What lies along a mark's rim is told from its lug by their temperatures alone:
/// where those of bare lugs are too cold to be held against a cable's, `rims_count` is false. By
/// stored temperatures, and only what is stored as hotter than `warmer_than`.
/// Absent on an image where nothing stands out of the noise, or that is mostly no data.
[[nodiscard]] std::optional<HotPlace> hottest_outside(const imaging::ThermalImage& image,
                                                      std::span<const Mark> marks,
                                                      std::optional<Celsius> warmer_than,
                                                      bool rims_count);

}  // namespace ohmglow::marking
