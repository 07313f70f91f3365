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
// Its own rim may lie so far outside the mark, and what is on a bare lug, its cable's end, shows
// beyond the blur of that.
constexpr int kRim_px = 2;
constexpr int kBlurredRim_px = 6;
// The largest disc in a connection is no larger than so many of a marked lug's radii, or this share
// of the shorter side where none is marked. A cable may be as long as it will.
constexpr double kWidestRadii = 2;
constexpr double kWidestShare = 0.15;
// A disc has as many pixels as one of its half width, a cable several times as many.
constexpr double kRound = 1.8;
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
cv::Mat widened(const Marked& marks, int by_px) {
  const double radius = std::sqrt(marks.largest_lug_px / CV_PI);
  const int spill = by_px + cvRound(kSpill * radius);
  cv::Mat wider;
  cv::dilate(marks.mask, wider,
             cv::getStructuringElement(cv::MORPH_RECT, {2 * spill + 1, 2 * spill + 1}));
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

// Of every fourth row and column: it need not be exact.
double median_of(const cv::Mat& values) {
  constexpr int kEvery = 4;
  std::vector<float> some;
  for (int y = 0; y < values.rows; y += kEvery) {
    const auto* row = values.ptr<float>(y);
    for (int x = 0; x < values.cols; x += kEvery) some.push_back(row[x]);
  }
  const auto middle = some.begin() + static_cast<std::ptrdiff_t>(some.size() / 2);
  std::nth_element(some.begin(), middle, some.end());
  return *middle;
}

// Radius of the largest disc in a piece.
double half_width_px(const cv::Mat& piece) {
  cv::Mat framed;
  cv::copyMakeBorder(piece, framed, 1, 1, 1, 1, cv::BORDER_CONSTANT, 0);
  cv::Mat away;
  cv::distanceTransform(framed, away, cv::DIST_L2, cv::DIST_MASK_3);
  double widest = 0;
  cv::minMaxLoc(away, nullptr, &widest);
  return widest;
}

// All around a place that is nearly as hot, in one piece.
struct Piece {
  cv::Mat mask;  ///< of the image's size
  cv::Rect box;
  int pixels = 0;
  double half_width_px = 0;

  [[nodiscard]] bool touches(const cv::Mat& other) const {
    return cv::countNonZero(mask(box) & other(box)) > 0;
  }
  /// As broad as it is long: no cable.
  [[nodiscard]] bool is_round() const {
    return pixels < kRound * CV_PI * half_width_px * half_width_px;
  }
  /// Pixels on the image's edge.
  [[nodiscard]] int cut_px() const {
    return cv::countNonZero(mask.row(0)) + cv::countNonZero(mask.row(mask.rows - 1)) +
           cv::countNonZero(mask.col(0)) + cv::countNonZero(mask.col(mask.cols - 1));
  }
};

// The pixels around a place that are at most `fall` colder than it.
Piece piece_around(const cv::Mat& celsius, cv::Point at, double fall) {
  Piece piece;
  cv::Mat framed = cv::Mat::zeros(celsius.rows + 2, celsius.cols + 2, CV_8U);
  cv::Mat values = celsius;  // only the mask is written to
  constexpr double kNoLimit = 1e9;
  cv::floodFill(values, framed, at, 0, &piece.box, fall, kNoLimit,
                8 | cv::FLOODFILL_FIXED_RANGE | cv::FLOODFILL_MASK_ONLY | (255 << 8));
  piece.mask = framed(cv::Rect({1, 1}, celsius.size()));
  piece.pixels = cv::countNonZero(piece.mask(piece.box));
  piece.half_width_px = half_width_px(piece.mask(piece.box));
  return piece;
}

// What is no larger than a connection.
struct Largest {
  double half_width_px;
  double cut_px;
};

Largest largest_connection(const Marked& marks, cv::Size image) {
  const double lug_px = std::sqrt(marks.largest_lug_px / CV_PI);
  const double side = std::min(image.width, image.height);
  if (lug_px > 0) return {kWidestRadii * lug_px, kMostCut * std::sqrt(marks.largest_lug_px)};
  return {kWidestShare * side, kMostCutShare * side};
}

}  // namespace

std::optional<HotPlace> hottest_outside(const imaging::ThermalImage& image,
                                        std::span<const Mark> marks,
                                        std::optional<Celsius> warmer_than, bool rims_count) {
  const cv::Size size(image.width(), image.height());
  const Marked all = marked(size, marks);
  cv::Mat allowed = widened(all, kRim_px) == 0;
  // A block lies on the image with all its pixels.
  cv::rectangle(allowed, cv::Rect({}, size), 0);
  if (warmer_than && !any_above(image, *warmer_than, allowed)) return std::nullopt;
  const cv::Mat beside = widened(all, kBlurredRim_px);
  const cv::Mat whole = filled(image.celsius());
  if (whole.empty() || std::min(whole.cols, whole.rows) < 3) return std::nullopt;
  cv::Mat smooth;
  cv::blur(whole, smooth, {3, 3});
  const double base = median_of(smooth);
  const double least = kAboveNoise * pixel_noise_k(whole) / kBlockDeviations;
  const Largest most = largest_connection(all, size);

  std::optional<HotPlace> background;
  for (int place = 0; place < kPlaces; ++place) {
    double hottest = 0;
    cv::Point at(-1, -1);
    cv::minMaxLoc(smooth, nullptr, &hottest, nullptr, &at, allowed);
    if (at.x < 0 || !(hottest - base > least)) break;
    if (warmer_than && hottest <= warmer_than->value()) break;
    const double fall = std::max(least, kNearlyAsHot * (hottest - base));
    const Piece piece = piece_around(smooth, at, fall);
    allowed.setTo(0, piece.mask);
    const bool is_of_rim = !rims_count && piece.touches(beside) && !piece.is_round();
    if (is_of_rim || piece.touches(all.mask)) continue;
    const HotPlace found{at, piece.pixels,
                         piece.half_width_px > most.half_width_px || piece.cut_px() > most.cut_px};
    if (!found.is_background) return found;
    if (!background) background = found;
  }
  return background;
}

}  // namespace ohmglow::marking
