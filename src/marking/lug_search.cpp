#include "contrast.h"
#include "offered/marking/marking.h"
#include "offered/marking/proposing.h"
#include "offered/vocabulary/number_text.h"
#include "spots.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::marking {
namespace {

// What three lugs of one component look like. Rules of thumb, tried on made-up and real pictures.
constexpr double kMostOffset = 0.15;  ///< of the middle one from the midpoint, in spacings
constexpr double kMostTurn_deg = 25;  ///< of the row from level or plumb
constexpr double kMostSizes = 1.8;    ///< largest radius by smallest
constexpr double kNearest = 2.2;      ///< spacing in radii
constexpr double kFarthest = 14;      ///< spacing in radii
constexpr double kLeastScore = 0.7;
/// How far the faintest must stand out: less is as common at joints and rims as at lugs. Shadows
/// beside warm things look like cold spots, so that those must do better.
constexpr double kLeastWarm_k = 0.8;
constexpr double kLeastCold_k = 2.0;
/// Another row that stands out by more than this share of the best one's makes both unsure.
constexpr double kRival = 0.7;
/// Within so many radii of a lug, spots belong to it: the corners where its cable leaves, say.
constexpr double kOwn = 2.5;
/// A mark stays inside its lug: edges are blurred.
constexpr double kMarkShare = 0.6;
constexpr double kLeastMark_px = 2.5;  ///< holds a 3×3 block

Error no_lugs(std::string why) {
  return {.kind = ErrorKind::not_measurable,
          .what = "no proposal: " + std::move(why),
          .mend = "mark it by hand"};
}

/// Three spots in order, with the parts of their score, each 0 … 1.
struct Triple {
  std::array<SpotSeen, 3> spots;
  double evenness = 0;  ///< of spacing and line
  double size = 0;      ///< likeness of the radii
  double look = 0;      ///< correlation of the pictures around them
  bool row = true;

  [[nodiscard]] double score() const { return std::cbrt(evenness * size * look); }
  /// Of two good readings, the one that stands out more is meant.
  [[nodiscard]] double merit() const { return score() * weakest_k(); }
  [[nodiscard]] double weakest_k() const {
    return std::min({std::abs(spots[0].contrast_k), std::abs(spots[1].contrast_k),
                     std::abs(spots[2].contrast_k)});
  }
};

double along(const PixelPoint& a, const PixelPoint& b) {
  return std::hypot(a.x - b.x, a.y - b.y);
}

/// Whether three spots can be the lugs of one component, by where they are and how large.
bool place(Triple& triple) {
  const auto& [a, b, c] = triple.spots;
  if ((a.contrast_k > 0) != (b.contrast_k > 0) || (a.contrast_k > 0) != (c.contrast_k > 0)) {
    return false;
  }
  if (triple.weakest_k() < (a.contrast_k > 0 ? kLeastWarm_k : kLeastCold_k)) return false;
  const double spacing = along(a.center, c.center) / 2;
  const PixelPoint middle{(a.center.x + c.center.x) / 2, (a.center.y + c.center.y) / 2};
  const double offset = along(b.center, middle) / std::max(spacing, 1e-9);
  const auto [least, most] = std::minmax({a.radius, b.radius, c.radius});
  const double dx = std::abs(c.center.x - a.center.x);
  const double dy = std::abs(c.center.y - a.center.y);
  const double turn_deg = std::atan2(std::min(dx, dy), std::max(dx, dy)) * 180 / CV_PI;
  triple.row = dx >= dy;
  triple.evenness = 1 - offset / kMostOffset;
  triple.size = 1 - (most / least - 1) / (kMostSizes - 1);
  return triple.evenness > 0 && triple.size > 0 && turn_deg <= kMostTurn_deg &&
         spacing >= kNearest * most && spacing <= kFarthest * most;
}

/// The picture around a spot, cut to one size.
cv::Mat view_of(const cv::Mat& image, const SpotSeen& spot, double radius) {
  constexpr int kSide_px = 25;
  const double step = 4 * radius / kSide_px;
  cv::Mat view;
  const cv::Mat map = (cv::Mat_<double>(2, 3) << step, 0, spot.center.x - 2 * radius + step / 2, 0,
                       step, spot.center.y - 2 * radius + step / 2);
  cv::warpAffine(image, view, map, {kSide_px, kSide_px}, cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                 cv::BORDER_REPLICATE);
  view -= cv::mean(view)[0];
  const double size = cv::norm(view);
  return size > 0 ? cv::Mat(view / size) : view;
}

/// The least likeness between two of the three.
double look_of(const cv::Mat& image, const Triple& triple) {
  const auto& [a, b, c] = triple.spots;
  const double radius = (a.radius + b.radius + c.radius) / 3;
  const cv::Mat va = view_of(image, a, radius);
  const cv::Mat vb = view_of(image, b, radius);
  const cv::Mat vc = view_of(image, c, radius);
  return std::max(0.0, std::min({va.dot(vb), vb.dot(vc), va.dot(vc)}));
}

std::vector<Triple> triples(const cv::Mat& image, const std::vector<SpotSeen>& seen) {
  std::vector<Triple> found;
  for (std::size_t i = 0; i < seen.size(); ++i) {
    for (std::size_t k = i + 1; k < seen.size(); ++k) {
      for (std::size_t j = 0; j < seen.size(); ++j) {
        if (j == i || j == k) continue;
        Triple triple{{seen[i], seen[j], seen[k]}};
        if (!place(triple)) continue;
        // Looking at pixels is expensive: skip it where position and size already rule the triple
        // out.
        const bool possible = std::cbrt(triple.evenness * triple.size) >= kLeastScore;
        if (possible) triple.look = look_of(image, triple);
        found.push_back(triple);
      }
    }
  }
  std::stable_sort(found.begin(), found.end(), [](const Triple& a, const Triple& b) {
    const bool a_is_good = a.score() >= kLeastScore;
    const bool b_is_good = b.score() >= kLeastScore;
    return a_is_good != b_is_good ? a_is_good : a.merit() > b.merit();
  });
  return found;
}

/// Whether two readings of the picture share no spot and no lug.
bool are_apart(const Triple& a, const Triple& b) {
  for (const SpotSeen& s : a.spots) {
    for (const SpotSeen& t : b.spots) {
      if (along(s.center, t.center) < kOwn * std::max(s.radius, t.radius)) return false;
    }
  }
  return true;
}

double halves(double x) {
  return std::round(2 * x) / 2;
}

std::vector<Mark> lug_marks(Triple triple, const PhaseNames& names, double confidence) {
  std::sort(triple.spots.begin(), triple.spots.end(),
            [&triple](const SpotSeen& a, const SpotSeen& b) {
              return triple.row ? a.center.x < b.center.x : a.center.y < b.center.y;
            });
  const double radius =
      std::min({triple.spots[0].radius, triple.spots[1].radius, triple.spots[2].radius});
  std::vector<Mark> marks;
  for (const Phase phase : kPhases) {
    const SpotSeen& spot = triple.spots.at(index_of(phase));
    Mark mark;
    mark.name = names.at(index_of(phase));
    mark.phase = phase;
    mark.shape = Circle{{halves(spot.center.x), halves(spot.center.y)},
                        std::max(kLeastMark_px, halves(kMarkShare * radius))};
    mark.origin = MarkOrigin::proposed;
    mark.confidence = confidence;
    marks.push_back(std::move(mark));
  }
  return marks;
}

/// The plainest patch among the cooler parts of the picture, clear of the lugs.
std::optional<Mark> air_patch(const cv::Mat& image, const Triple& lugs, double confidence) {
  const int side = std::max(9, std::min(image.cols, image.rows) / 12) | 1;
  if (side >= std::min(image.cols, image.rows)) return std::nullopt;
  cv::Mat mean;
  cv::Mat square;
  cv::boxFilter(image, mean, CV_64F, {side, side});
  cv::sqrBoxFilter(image, square, CV_64F, {side, side});
  const cv::Mat variance = square - mean.mul(mean);
  cv::Mat sorted = image.reshape(1, 1).clone();
  cv::sort(sorted, sorted, cv::SORT_ASCENDING);
  const double cool_c = sorted.at<float>(0, sorted.cols * 2 / 5);
  // Plain: hardly more than the pixels' own noise and a faint slope.
  const double plain_k = 2 * pixel_noise_k(image) + 0.05;
  double best = plain_k * plain_k;
  std::optional<cv::Point> at;
  for (int y = side; y < image.rows - side; ++y) {
    for (int x = side; x < image.cols - side; ++x) {
      if (variance.at<double>(y, x) >= best || mean.at<double>(y, x) > cool_c) continue;
      const bool near = std::any_of(lugs.spots.begin(), lugs.spots.end(), [&](const SpotSeen& s) {
        return along(s.center, {x + 0.0, y + 0.0}) < 2 * s.radius + side;
      });
      if (near) continue;
      best = variance.at<double>(y, x);
      at = cv::Point(x, y);
    }
  }
  if (!at) return std::nullopt;
  Mark mark;
  mark.name = "air patch";
  mark.role = MarkRole::ambient;
  mark.shape =
      Rectangle{{at->x - side / 2 + 0.0, at->y - side / 2 + 0.0}, {side - 1.0, side - 1.0}};
  mark.origin = MarkOrigin::proposed;
  mark.confidence = confidence;
  return mark;
}

}  // namespace

Result<Proposal> find_lugs(const cv::Mat& celsius, const PhaseNames& phase_names) {
  if (celsius.empty() || std::min(celsius.cols, celsius.rows) < 24) {
    return fail(no_lugs("the image is too small"));
  }
  const cv::Mat image = filled(celsius);
  if (image.empty()) return fail(no_lugs("most pixels hold no data"));
  const auto seen = spots(image);
  if (seen.size() < 3) {
    return fail(no_lugs("fewer than three spots stand out of the picture"));
  }
  const auto found = triples(image, seen);
  if (found.empty()) {
    return fail(no_lugs("no three like spots lie evenly spaced in a row or column"));
  }
  const Triple& best = found.front();
  if (best.score() < kLeastScore) {
    return fail(no_lugs("no three spots are like and evenly spaced enough to be lugs"));
  }
  const auto rival = std::find_if(found.begin(), found.end(), [&best](const Triple& other) {
    return other.score() >= kLeastScore && are_apart(best, other);
  });
  const double rivalry = rival == found.end() ? 0 : rival->merit() / best.merit();
  if (rivalry > kRival) {
    return fail(no_lugs("more than one row of three like spots is there"));
  }
  Proposal proposal;
  proposal.confidence = std::round(100 * best.score() * (1 - rivalry / 2)) / 100;
  proposal.marks = lug_marks(best, phase_names, proposal.confidence);
  if (auto patch = air_patch(image, best, proposal.confidence)) {
    proposal.marks.push_back(std::move(*patch));
  }
  const std::string_view way = best.row ? "row" : "column";
  proposal.reason = "three like spots in a " + std::string(way) + ": spacing " +
                    decimals(best.evenness, 2) + ", size " + decimals(best.size, 2) + ", look " +
                    decimals(best.look, 2) + " of 1; the faintest stands out by " +
                    decimals(best.weakest_k(), 1) + " K";
  proposal.note = std::string("the phases are counted from the ") + (best.row ? "left" : "top") +
                  ": confirm their order, and that these are the lugs";
  return proposal;
}

}  // namespace ohmglow::marking
