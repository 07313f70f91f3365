#pragma once
/// Marks proposed for an image that has none, for a person to accept or to correct: carried over
/// from a marked image of the same place by image registration, or found in the picture itself as
/// like spots at the ends of conductors. Where neither is sure, there is no proposal.
/// docs/method.md says how.

#include "offered/marking/sight.h"
#include "ohmglow/phase.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <opencv2/core/mat.hpp>
#include <opencv2/core/matx.hpp>
#include <span>
#include <string>
#include <vector>

namespace ohmglow::marking {

/// Where the scene of one image is on another.
struct Movement {
  /// Of the middle of the image, from the middle of the other.
  double right_px = 0;
  double down_px = 0;
  double scale = 1;     ///< pixels of the other for one of the image, at its middle
  double turn_deg = 0;  ///< clockwise, -180 … 180; about 180 where the camera was upside down
  /// Correlation of the two images' local contrasts where they overlap after the movement is
  /// undone, 0 … 1. Overall warmth and range do not matter to it.
  double likeness = 0;
  /// The same of which way their edges run: what has become warmer or colder does not matter.
  double agreement = 0;
  double rivalry = 0;  ///< evidence for the next best, different way over that for this one
  cv::Matx33d map = cv::Matx33d::eye();  ///< pixels of the image to those of the other
};

/// What is at a pixel p on `from` is at map p on `to`: shifted by up to a half of a side, turned by
/// up to 20° or by half a turn and that, 0.7 to 1.4 times as large beside what the resolutions
/// give, and seen from another side. Found by the edges of both. CV_32F °C, NaN = no data, sizes
/// may differ. Errors: not_measurable for images too small, without contrast, or that fit in more
/// than one place, as three like lugs may a lug further on.
[[nodiscard]] Result<Movement> movement(const cv::Mat& from, const cv::Mat& to);

/// Agreement of the edges below which marks are not carried.
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
/// looked for once more around its new place. Marks that leave the picture are left out and named
/// in the note. The confidence is the probability that all lugs are right (docs/method.md). Errors:
/// not_measurable ("no proposal: …") where the pictures are too unlike, or no lug stays.
[[nodiscard]] Result<Proposal> carry_marks(const cv::Mat& celsius, const MarkedImage& marked);

/// Carries from the image whose marks can be carried most surely. Errors: those of the last.
[[nodiscard]] Result<Proposal> carry_surest(const cv::Mat& celsius,
                                            std::span<const MarkedImage> same_place);

/// Three like spots in a row of any slant, on an arc or in a triangle, warm or cold, named as the
/// survey names its phases, from the left or from the top; or two of a row whose third would lie
/// out of the frame, which the reason says. And a patch for the air's temperature where a plain one
/// is found. The confidence is the share of this reading in all readings of the picture. Errors:
/// not_measurable ("no proposal: …").
[[nodiscard]] Result<Proposal> find_lugs(const cv::Mat& celsius, const PhaseNames& phase_names,
                                         const Sight& sight);

/// Marks carried from an image of the same place, else what the picture shows. Errors: those of the
/// latter, or of opening the sight.
[[nodiscard]] Result<Proposal> propose(const cv::Mat& celsius,
                                       std::span<const MarkedImage> same_place,
                                       const PhaseNames& phase_names, const OpenSight& open_sight);

}  // namespace ohmglow::marking
