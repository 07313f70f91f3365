#include "contrast.h"
#include "offered/marking/marking.h"
#include "offered/marking/proposing.h"
#include "offered/vocabulary/number_text.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::marking {
namespace {

Error no_proposal(std::string why, std::string mend = {}) {
  return {.kind = ErrorKind::not_measurable,
          .what = "no proposal: " + std::move(why),
          .mend = std::move(mend)};
}

struct Moved {
  cv::Point2d by;

  PixelPoint operator()(const PixelPoint& p) const { return {p.x + by.x, p.y + by.y}; }
  Shape operator()(const Circle& c) const { return Circle{(*this)(c.center), c.radius}; }
  Shape operator()(const Rectangle& r) const { return Rectangle{(*this)(r.corner), r.size}; }
  Shape operator()(const Polygon& polygon) const {
    Polygon moved;
    for (const PixelPoint& p : polygon.points) moved.points.push_back((*this)(p));
    return moved;
  }
};

/// Half pixels: no scene is followed more finely than that.
cv::Point2d half_pixels(const cv::Point2d& p) {
  return {std::round(2 * p.x) / 2, std::round(2 * p.y) / 2};
}

/// Where a part of one image is on the other, looked for around the common movement: a little turn
/// or a step closer moves each mark by its own amount.
struct Found {
  cv::Point2d by;
  double likeness = 0;
};

Found look_around(const cv::Mat& from, const cv::Mat& to, const cv::Rect& mark,
                  const cv::Point2d& by, int reach) {
  const cv::Rect image({}, from.size());
  const int margin = std::max(6, std::max(mark.width, mark.height) / 2);
  const cv::Rect part =
      (mark + cv::Size(2 * margin, 2 * margin) - cv::Point(margin, margin)) & image;
  const cv::Point step(cvRound(by.x), cvRound(by.y));
  const cv::Rect there = (part + step) & image;
  const cv::Rect pattern = there - step;
  const cv::Rect search =
      (there + cv::Size(2 * reach, 2 * reach) - cv::Point(reach, reach)) & image;
  if (pattern.width < 3 || pattern.height < 3) return {by, 0};
  cv::Mat scores;
  cv::matchTemplate(to(search), from(pattern), scores, cv::TM_CCOEFF_NORMED);
  double best = 0;
  cv::Point at;
  cv::minMaxLoc(scores, nullptr, &best, nullptr, &at);
  const cv::Point2d local(search.x + at.x - pattern.x, search.y + at.y - pattern.y);
  // Whole pixels only: within one of the common movement, that is the better of the two.
  const bool same = std::abs(local.x - by.x) <= 1 && std::abs(local.y - by.y) <= 1;
  return {same ? by : local, std::clamp(best, 0.0, 1.0)};
}

}  // namespace

Result<Proposal> carry_marks(const cv::Mat& celsius, const MarkedImage& marked) {
  if (marked.celsius.size() != cv::Size(marked.marks.width, marked.marks.height)) {
    return fail(no_proposal("the marks of " + marked.marks.image + " are of another image size"));
  }
  const auto moved = movement(marked.celsius, celsius);
  if (!moved) return fail(no_proposal(moved.error().what + " (" + marked.marks.image + ")"));
  if (moved->likeness < kLeastLikeness) {
    return fail(no_proposal("the picture is too unlike " + marked.marks.image + " (likeness " +
                                decimals(moved->likeness, 2) + ", at least " +
                                decimals(kLeastLikeness, 2) + ")",
                            "mark it by hand"));
  }
  const cv::Mat from = local_contrast(filled(marked.celsius));
  const cv::Mat to = local_contrast(filled(celsius));
  const int reach = std::max(2, std::min(celsius.cols, celsius.rows) / 40);
  Proposal proposal;
  proposal.confidence = moved->likeness;
  for (const Mark& old : marked.marks.marks) {
    const auto region = region_of(old.shape, marked.celsius.size());
    if (!region) return fail(no_proposal("the mark " + old.name + ": " + region.error().what));
    const Found found =
        look_around(from, to, region->box, {moved->right_px, moved->down_px}, reach);
    Mark mark = old;
    mark.shape = std::visit(Moved{half_pixels(found.by)}, old.shape);
    if (!region_of(mark.shape, celsius.size())) {
      return fail(no_proposal("the mark " + old.name + " would leave the image"));
    }
    mark.origin = MarkOrigin::carried;
    mark.carried_from = marked.marks.image;
    mark.confidence = std::round(100 * std::min(moved->likeness, found.likeness)) / 100;
    if (mark.role == MarkRole::lug) {
      proposal.confidence = std::min(proposal.confidence, *mark.confidence);
    }
    proposal.marks.push_back(std::move(mark));
  }
  if (proposal.confidence < kLeastLikeness) {
    return fail(no_proposal("a lug of " + marked.marks.image + " is not found again (likeness " +
                            decimals(proposal.confidence, 2) + ")"));
  }
  std::stable_partition(proposal.marks.begin(), proposal.marks.end(),
                        [](const Mark& mark) { return mark.role == MarkRole::lug; });
  if (proposal.marks.empty() || proposal.marks.front().role != MarkRole::lug) {
    return fail(no_proposal(marked.marks.image + " has no lug marked"));
  }
  proposal.reason = "the marks of " + marked.marks.image + ", moved by " +
                    decimals(moved->right_px, 1) + " pixels to the right and " +
                    decimals(moved->down_px, 1) + " down (likeness " +
                    decimals(moved->likeness, 2) + ")";
  proposal.note = "look whether each mark lies on its lug, and whether emissivities still hold";
  return proposal;
}

Result<Proposal> propose(const cv::Mat& celsius, std::span<const MarkedImage> same_place,
                         const PhaseNames& phase_names) {
  for (const MarkedImage& marked : same_place) {
    if (auto carried = carry_marks(celsius, marked)) return carried;
  }
  return find_lugs(celsius, phase_names);
}

}  // namespace ohmglow::marking
