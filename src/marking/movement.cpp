#include "contrast.h"
#include "offered/marking/proposing.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace ohmglow::marking {
namespace {

constexpr int kLeastSide_px = 32;
/// A movement by more than this share of a side leaves too little in common.
constexpr double kFarthestShare = 0.25;
/// Places that are looked at: three like lugs fit onto each other a lug further on as well.
constexpr int kCandidates = 4;
/// Another movement that fits nearly as well leaves both unsure.
constexpr double kRivalMerit = 0.93;

Error no_movement(std::string why) {
  return {.kind = ErrorKind::not_measurable, .what = std::move(why)};
}

/// Correlation of two equally large parts.
double correlation(const cv::Mat& a, const cv::Mat& b) {
  const cv::Mat da = a - cv::mean(a)[0];
  const cv::Mat db = b - cv::mean(b)[0];
  const double scale = std::sqrt(da.dot(da) * db.dot(db));
  return scale > 0 ? da.dot(db) / scale : 0;
}

/// The part of a picture that is on the other one as well, after a movement by whole pixels.
cv::Rect common_part(cv::Size size, cv::Point by) {
  return cv::Rect({}, size) & cv::Rect(-by, size);
}

/// Where the middle of one picture fits best onto the other, by whole pixels, the best first.
std::vector<cv::Point> candidates(const cv::Mat& from, const cv::Mat& to) {
  const int reach_x = static_cast<int>(kFarthestShare * from.cols);
  const int reach_y = static_cast<int>(kFarthestShare * from.rows);
  const cv::Rect middle(reach_x, reach_y, from.cols - 2 * reach_x, from.rows - 2 * reach_y);
  cv::Mat fit;
  cv::matchTemplate(to, from(middle), fit, cv::TM_CCOEFF_NORMED);
  // Peaks only: down a cable's length the fit falls off slowly, and that is one place.
  cv::Mat highest;
  cv::dilate(fit, highest, cv::Mat::ones(9, 9, CV_8U));
  fit.setTo(-1, fit < highest);
  const int own = std::max(4, std::min(from.cols, from.rows) / 8);
  std::vector<cv::Point> found;
  while (found.size() < kCandidates) {
    double best = 0;
    cv::Point at;
    cv::minMaxLoc(fit, nullptr, &best, nullptr, &at);
    if (best <= 0) break;
    found.push_back(at - middle.tl());
    cv::circle(fit, at, own, -1, -1);
  }
  return found;
}

/// How alike the two are where they overlap.
double likeness_at(const cv::Mat& from, const cv::Mat& to, const cv::Point2d& by) {
  const cv::Point whole(cvRound(by.x), cvRound(by.y));
  const cv::Rect part = common_part(from.size(), whole);
  cv::Mat back;
  const cv::Mat move = (cv::Mat_<double>(2, 3) << 1, 0, part.x + by.x, 0, 1, part.y + by.y);
  cv::warpAffine(to, back, move, part.size(), cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                 cv::BORDER_REPLICATE);
  return std::clamp(correlation(from(part), back), 0.0, 1.0);
}

/// How well a candidate fits: the likeness of what the two have in common, less where that is
/// little.
struct Fit {
  Movement movement;
  double merit = 0;
};

Fit fit_at(const cv::Mat& from, const cv::Mat& to, cv::Point by) {
  const double likeness = likeness_at(from, to, by);
  const double share =
      static_cast<double>(common_part(from.size(), by).area()) / static_cast<double>(from.total());
  return {{by.x + 0.0, by.y + 0.0, likeness}, likeness * std::sqrt(share)};
}

/// The parts of a pixel: uphill in ever smaller steps.
Movement refined(const cv::Mat& from, const cv::Mat& to, Movement best) {
  for (double step = 0.5; step > 0.1; step /= 2) {
    const Movement start = best;
    for (const int x : {-1, 0, 1}) {
      for (const int y : {-1, 0, 1}) {
        const cv::Point2d by(start.right_px + x * step, start.down_px + y * step);
        const double likeness = likeness_at(from, to, by);
        if (likeness > best.likeness) best = {by.x, by.y, likeness};
      }
    }
  }
  return best;
}

}  // namespace

Result<Movement> movement(const cv::Mat& from, const cv::Mat& to) {
  if (from.size() != to.size()) return fail(no_movement("the images differ in size"));
  if (std::min(to.cols, to.rows) < kLeastSide_px) {
    return fail(no_movement("the image is too small to be held against another"));
  }
  const cv::Mat a = filled(from);
  const cv::Mat b = filled(to);
  if (a.empty() || b.empty()) return fail(no_movement("most pixels of an image hold no data"));
  const cv::Mat contrast_a = local_contrast(a);
  const cv::Mat contrast_b = local_contrast(b);
  std::vector<Fit> fits;
  for (const cv::Point& by : candidates(contrast_a, contrast_b)) {
    fits.push_back(fit_at(contrast_a, contrast_b, by));
  }
  std::stable_sort(fits.begin(), fits.end(),
                   [](const Fit& x, const Fit& y) { return x.merit > y.merit; });
  if (fits.empty() || fits.front().merit <= 0) {
    return fail(no_movement("the image has nothing in common with the other"));
  }
  if (fits.size() > 1 && fits[1].merit > kRivalMerit * fits[0].merit) {
    return fail(no_movement("the image fits the other in more than one place"));
  }
  return refined(contrast_a, contrast_b, fits.front().movement);
}

}  // namespace ohmglow::marking
