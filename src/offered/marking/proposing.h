#pragma once
/// Marks proposed for an image that has none, for a person to accept or to correct: carried over
/// from a marked image of the same place by image registration, or found in the picture itself as
/// like spots at the ends of conductors. Where neither is sure, there is no proposal.
/// docs/method.md says how.

#include "ohmglow/phase.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <opencv2/core/mat.hpp>
#include <span>
#include <string>
#include <vector>

namespace ohmglow::marking {

/// How far the scene of one image has moved on another.
struct Movement {
  double right_px = 0;
  double down_px = 0;
  /// Correlation of the two images' local contrasts where they overlap after the movement is
  /// undone, 0 … 1. Overall warmth and range do not matter to it.
  double likeness = 0;
};

/// What is at (x, y) on `from` is at (x + right, y + down) on `to`; to a part of a pixel, by
/// correlation of the local contrasts. Movements up to a quarter of a side are found. Turns and
/// changes of distance are not followed: they lower the likeness. Both CV_32F °C, NaN = no data.
/// Errors: not_measurable for images of unlike or too small size, without contrast, or that fit in
/// more than one place, as three like lugs may a lug further on.
[[nodiscard]] Result<Movement> movement(const cv::Mat& from, const cv::Mat& to);

/// Likeness below which marks are not carried.
inline constexpr double kLeastLikeness = 0.5;

/// An image of the same place whose marks may serve.
struct MarkedImage {
  cv::Mat celsius;
  MarkFile marks;
};

struct Proposal {
  /// Lugs first. Each has its phase, confidence and origin: `carried` with the image that it comes
  /// from, or `proposed`.
  std::vector<Mark> marks;
  double confidence = 0;  ///< 0 … 1, of the lugs together
  std::string reason;     ///< one line: where the marks come from
  std::string note;       ///< what a person must look at before accepting
};

/// Marks of another image of the same motor and component, moved along with the scene; each is
/// looked for once more around its new place. Errors: not_measurable ("no proposal: …") where the
/// pictures are too unlike, or a mark would leave the image.
[[nodiscard]] Result<Proposal> carry_marks(const cv::Mat& celsius, const MarkedImage& marked);

/// Three like spots in a row of any slant, on an arc or in a triangle, warm or cold, named as the
/// survey names its phases, from the left or from the top; or two of a row whose third would lie out
/// of the frame, which the reason says. And a patch for the air's temperature where a plain one is
/// found. The confidence is the share of this reading in all readings of the picture. Errors:
/// not_measurable ("no proposal: …").
[[nodiscard]] Result<Proposal> find_lugs(const cv::Mat& celsius, const PhaseNames& phase_names);

/// The first image of the same place whose marks can be carried, else what the picture shows.
[[nodiscard]] Result<Proposal> propose(const cv::Mat& celsius,
                                       std::span<const MarkedImage> same_place,
                                       const PhaseNames& phase_names);

}  // namespace ohmglow::marking
