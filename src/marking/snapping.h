#pragma once
/// Where marked parts of one picture are on another, beside where the whole picture's map puts
/// them: lugs stand above the box's floor, so that another point of view moves them by their own
/// amount.

#include "structure.h"

#include <span>

namespace ohmglow::marking {

struct Snapped {
  cv::Point2d by;        ///< working pixels of `from`, from where the map puts the part
  double agreement = 0;  ///< of the edges there, 0 … 1
};

/// The parts (boxes around marks) in the order given, each looked for around the map's place no
/// farther than three quarters of its own half size. A part that is not found again there goes with
/// those that are: lugs of one box stand equally high. `parts` and `map` in working pixels.
[[nodiscard]] std::vector<Snapped> snap(const View& from, const View& to, const cv::Matx33d& map,
                                        std::span<const cv::Rect2d> parts);

}  // namespace ohmglow::marking
