#include "offered/marking/outside.h"

#include "contrast.h"
#include "offered/marking/marking.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace ohmglow::marking {
namespace {

// House rules. A piece that reaches down by this share of what it stands above the image's middle
// is all nearly as hot; it must fall by as much before a mark begins to be a place of its own.
constexpr double kNearlyAsHot = 0.2;
// Deviations of the noise of a 3×3 mean that make no place of their own.
constexpr double kAboveNoise = 6;
// A lug's blur spills over its mark by this share of its radius.
constexpr double kSpill = 0.3;
// What is on a bare lug, its cable's end, begins within so many radii of its mark.
constexpr double kBeside = 1;
// A connection is no larger than so many of the largest marked lug, or this share of the image.
constexpr double kMostLugs = 6;
constexpr double kMostShare = 0.015;
constexpr double kMostShareUnmarked = 0.06;
// What the image's edge cuts over more than this many lugs' sides, or this share of the shorter
// side where none is marked, goes on beyond it.
constexpr double kMostCut = 1.5;
constexpr double kMostCutShare = 0.15;
constexpr int kPlaces = 8;              ///< looked at, the hottest first
constexpr double kBlockDeviations = 3;  ///< a mean of nine has a third of the noise

struct Marked {
  cv::Mat mask;  ///< the pixels of all marks
  double largest_lug_px = 0;
};

Marked marked(cv::Size size, std::span<const Mark> marks) {
  Marked all{cv::Mat::zeros(size, CV_8U), 0};
  for (const Mark& mark : marks) {
    const auto region = region_of(mark.shape, size);
    if (!region) continue;  // measuring says what is wrong with it
    cv::Mat part = all.mask(region->box);
    part |= region->mask;
    if (mark.role == MarkRole::lug) {
      all.largest_lug_px = std::max(all.largest_lug_px, static_cast<double>(region->pixels()));
    }
  }
  return all;
}

// The marks with what lies beside them.
cv::Mat widened(const Marked& marks, double by_radii) {
  const double radius = std::sqrt(marks.largest_lug_px / CV_PI);
  const int spill = 2 + cvRound(by_radii * radius);
  cv::Mat wider;
  cv::dilate(marks.mask, wider,
             cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * spill + 1, 2 * spill + 1}));
  return wider;
}

// Most images end here: the numbers are looked at as they are stored.
bool any_above(const imaging::ThermalImage& image, Celsius limit, const cv::Mat& allowed) {
  const double at_0 = imaging::stored_to_celsius(0, image.declaration()).value();
  const double per_step = imaging::stored_to_celsius(1, image.declaration()).value() - at_0;
  if (!(per_step > 0)) return true;
  cv::Mat above;
  cv::compare(image.stored().pixels, (limit.value() - at_0) / per_step, above, cv::CMP_GT);
  above &= allowed;
  return cv::countNonZero(above) > 0;
}

double median_of(const cv::Mat& values) {
  std::vector<float> sorted(values.begin<float>(), values.end<float>());
  const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
  std::nth_element(sorted.begin(), middle, sorted.end());
  return *middle;
}

// The piece around a place that is at most `fall` colder than it, as a mask of the image's size.
cv::Mat piece_around(const cv::Mat& celsius, cv::Point at, double fall, cv::Rect& box) {
  cv::Mat framed = cv::Mat::zeros(celsius.rows + 2, celsius.cols + 2, CV_8U);
  cv::Mat values = celsius;  // only the mask is written to
  constexpr double kNoLimit = 1e9;
  cv::floodFill(values, framed, at, 0, &box, fall, kNoLimit,
                8 | cv::FLOODFILL_FIXED_RANGE | cv::FLOODFILL_MASK_ONLY | (255 << 8));
  return framed(cv::Rect({1, 1}, celsius.size()));
}

// Pixels of a piece on the image's edge.
int cut_px(const cv::Mat& piece) {
  cv::Mat edge = piece.clone();
  edge(cv::Rect({1, 1}, piece.size() - cv::Size(2, 2))).setTo(0);
  return cv::countNonZero(edge);
}

}  // namespace

std::optional<HotPlace> hottest_outside(const imaging::ThermalImage& image,
                                        std::span<const Mark> marks,
                                        std::optional<Celsius> warmer_than, bool rims_count) {
  const cv::Size size(image.width(), image.height());
  const Marked all = marked(size, marks);
  cv::Mat allowed = widened(all, kSpill) == 0;
  const cv::Mat warming = rims_count ? all.mask : widened(all, kBeside);
  // A block lies on the image with all its pixels.
  cv::rectangle(allowed, cv::Rect({}, size), 0);
  if (warmer_than && !any_above(image, *warmer_than, allowed)) return std::nullopt;
  const cv::Mat whole = filled(image.celsius());
  if (whole.empty() || std::min(whole.cols, whole.rows) < 3) return std::nullopt;
  cv::Mat smooth;
  cv::blur(whole, smooth, {3, 3});
  const double base = median_of(smooth);
  const double least = kAboveNoise * pixel_noise_k(whole) / kBlockDeviations;
  const double share = marks.empty() ? kMostShareUnmarked : kMostShare;
  const double most_px =
      std::max(kMostLugs * all.largest_lug_px, share * static_cast<double>(whole.total()));
  const double most_cut_px = all.largest_lug_px > 0
                                 ? kMostCut * std::sqrt(all.largest_lug_px)
                                 : kMostCutShare * std::min(whole.cols, whole.rows);

  std::optional<HotPlace> background;
  for (int place = 0; place < kPlaces; ++place) {
    double hottest = 0;
    cv::Point at(-1, -1);
    cv::minMaxLoc(smooth, nullptr, &hottest, nullptr, &at, allowed);
    if (at.x < 0 || !(hottest - base > least)) break;
    if (warmer_than && hottest <= warmer_than->value()) break;
    const double fall = std::max(least, kNearlyAsHot * (hottest - base));
    cv::Rect box;
    const cv::Mat piece = piece_around(smooth, at, fall, box);
    const auto pixels = cv::countNonZero(piece(box));
    const bool warmed_by_mark = cv::countNonZero(piece(box) & warming(box)) > 0;
    allowed.setTo(0, piece);
    if (warmed_by_mark) continue;
    const HotPlace found{at, pixels, pixels > most_px || cut_px(piece) > most_cut_px};
    if (!found.is_background) return found;
    if (!background) background = found;
  }
  return background;
}

}  // namespace ohmglow::marking
