#pragma once
/// One picture laid onto another: where each of its pixels is, by what the two show and not by how
/// warm it is.

#include "offered/marking/proposing.h"
#include "structure.h"

namespace ohmglow::marking {

/// A way to lay `from` onto `to`.
struct Alignment {
  cv::Matx33d map = cv::Matx33d::eye();  ///< of pixels of `from` to pixels of `to`
  double likeness = 0;                   ///< correlation of the looks where they overlap, -1 … 1
  double agreement = 0;                  ///< correlation of the edges where they overlap, -1 … 1
  /// Evidence: what the two have in common, by how much of `to` it is. -log(1 - r²) per pixel is
  /// how much likelier a correlation r is than none.
  double merit = 0;
};

/// The ways to lay one onto the other that differ from each other by more than a few working
/// pixels, the best first. Turned by up to 20° or by half a turn and that, 0.7 to 1.4 times as
/// large, shifted by up to a half of a side, and seen from another side.
[[nodiscard]] std::vector<Alignment> alignments(const Views& from, const Views& to);

/// A movement, and the views that it was found by.
struct Laid {
  Movement movement;
  Views from;
  Views to;
};

/// Errors: those of movement().
[[nodiscard]] Result<Laid> laid(const cv::Mat& from, const cv::Mat& to);

}  // namespace ohmglow::marking
