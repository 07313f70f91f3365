#pragma once
/// Lugs seen that may be those of one component, and how likely that is: three, or two where the
/// third would lie out of the frame.

#include "offered/marking/sight.h"

#include <opencv2/core/types.hpp>

namespace ohmglow::marking {

/// In order along the row or around the corner.
struct Group {
  std::vector<std::size_t> lugs;  ///< indices
  double radius = 0;              ///< mean, pixels
  double bend = 0;      ///< radians between the ways from one to the next; 0 in a straight row
  double evenness = 1;  ///< shorter over longer spacing
  double merit = 0;     ///< logarithm of odds
  double likely = 0;    ///< 0 … 1, with all readings of the same lugs
};

/// As far beyond `b` as `a` is before it.
[[nodiscard]] inline PixelPoint past(const PixelPoint& a, const PixelPoint& b) {
  return {2 * b.x - a.x, 2 * b.y - a.y};
}

/// Best first.
[[nodiscard]] std::vector<Group> groups(cv::Size picture, const std::vector<LugSeen>& seen,
                                        const Sight& sight);

}  // namespace ohmglow::marking
