#include "spots.h"

#include "contrast.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <opencv2/imgproc.hpp>

namespace ohmglow::marking {
namespace {

constexpr double kShortSide_px = 240;  ///< of the working picture
constexpr double kLeastRadius_px = 3.4;
constexpr double kMostRadiusShare = 0.17;  ///< of the short side
constexpr double kRadiusStep = 1.17;
constexpr int kDirections = 32;
constexpr std::size_t kMostPeaks = 11;  ///< of a radius and a sign
/// An edge counts for a half where its slope is so many times what the noise gives.
constexpr double kSlopeOverNoise = 4;
/// The same, over the mean of the slopes around it.
constexpr double kSlopeOverUsual = 0.15;
constexpr int kNeighborhood_px = 21;

Level level_of(const cv::Mat& image, double times, double noise_k) {
  Level level;
  level.times = times;
  cv::GaussianBlur(image, level.image, {}, 1.0, 1.0, cv::BORDER_REPLICATE);
  cv::Scharr(level.image, level.slope_x, CV_32F, 1, 0, 1.0 / 32, 0, cv::BORDER_REPLICATE);
  cv::Scharr(level.image, level.slope_y, CV_32F, 0, 1, 1.0 / 32, 0, cv::BORDER_REPLICATE);
  cv::Mat length;
  cv::magnitude(level.slope_x, level.slope_y, length);
  // White noise blurred by a pixel has slopes of about a fifth of its deviation. Beside a clear
  // edge, the glow around it is none.
  cv::Mat half;
  cv::blur(length, half, {kNeighborhood_px, kNeighborhood_px}, {-1, -1}, cv::BORDER_REPLICATE);
  half = kSlopeOverUsual * half + (kSlopeOverNoise * 0.2 * noise_k + 1e-6);
  length += half;
  cv::divide(level.slope_x, length, level.slope_x);
  cv::divide(level.slope_y, length, level.slope_y);
  return level;
}

/// A pixel that a clear slope passes through.
struct Voter {
  float x;
  float y;
  float ux;  ///< up the slope
  float uy;
  cv::Vec3f vote;  ///< weight, and weight times cosine and sine of twice the angle
};

std::vector<Voter> voters(const Level& level) {
  std::vector<Voter> all;
  for (int y = 0; y < level.image.rows; ++y) {
    const auto* gx = level.slope_x.ptr<float>(y);
    const auto* gy = level.slope_y.ptr<float>(y);
    for (int x = 0; x < level.image.cols; ++x) {
      const float weight = std::sqrt(gx[x] * gx[x] + gy[x] * gy[x]);
      if (weight < 0.25F) continue;
      const float ux = gx[x] / weight;
      const float uy = gy[x] / weight;
      all.push_back({static_cast<float>(x), static_cast<float>(y), ux, uy,
                     weight * cv::Vec3f(1, ux * ux - uy * uy, 2 * ux * uy)});
    }
  }
  return all;
}

/// Votes of the slopes for the middles of discs of one radius (after G. Loy and A. Zelinsky, Fast
/// radial symmetry, PAMI 25, 2003; from memory). What the slopes of one line say, as a cable's two
/// edges do, is taken off: a disc's rim points in all directions.
cv::Mat votes(const std::vector<Voter>& voters, cv::Size size, double radius, double sign) {
  cv::Mat votes = cv::Mat::zeros(size, CV_32FC3);
  const auto reach = static_cast<float>(sign * radius);
  for (const Voter& voter : voters) {
    const int x = cvRound(voter.x + reach * voter.ux);
    const int y = cvRound(voter.y + reach * voter.uy);
    if (x < 0 || y < 0 || x >= size.width || y >= size.height) continue;
    votes.ptr<cv::Vec3f>(y)[x] += voter.vote;
  }
  // Two boxes are nearly a Gaussian, and faster.
  const int side = 2 * cvRound(0.25 + 0.25 * radius) + 1;
  cv::blur(votes, votes, {side, side}, {-1, -1}, cv::BORDER_CONSTANT);
  cv::blur(votes, votes, {side, side}, {-1, -1}, cv::BORDER_CONSTANT);
  cv::Mat round(size, CV_32F);
  for (int y = 0; y < size.height; ++y) {
    const auto* from = votes.ptr<cv::Vec3f>(y);
    auto* to = round.ptr<float>(y);
    for (int x = 0; x < size.width; ++x) {
      to[x] = from[x][0] - std::sqrt(from[x][1] * from[x][1] + from[x][2] * from[x][2]);
    }
  }
  return round;
}

struct DiscVoted {
  cv::Point2d at;
  double radius = 0;
  double sign = 0;
  double votes = 0;
};

void add_peaks(std::vector<DiscVoted>& peaks, const std::vector<Voter>& voters, cv::Size size,
               double radius, double sign, std::size_t most) {
  const cv::Mat round = votes(voters, size, radius, sign);
  cv::Mat highest;
  cv::dilate(round, highest, cv::Mat::ones(3, 3, CV_8U));
  std::vector<DiscVoted> found;
  for (int y = 1; y + 1 < round.rows; ++y) {
    const auto* value = round.ptr<float>(y);
    const auto* high = highest.ptr<float>(y);
    for (int x = 1; x + 1 < round.cols; ++x) {
      if (value[x] > 0 && value[x] >= high[x]) {
        found.push_back({{x + 0.0, y + 0.0}, radius, sign, value[x] * radius});
      }
    }
  }
  const std::size_t kept = std::min(most, found.size());
  std::partial_sort(found.begin(), found.begin() + static_cast<std::ptrdiff_t>(kept), found.end(),
                    [](const DiscVoted& a, const DiscVoted& b) { return a.votes > b.votes; });
  peaks.insert(peaks.end(), found.begin(), found.begin() + static_cast<std::ptrdiff_t>(kept));
}

/// Of peaks of nearly the same disc, the strongest.
std::vector<DiscVoted> strongest(std::vector<DiscVoted> peaks) {
  std::stable_sort(peaks.begin(), peaks.end(),
                   [](const DiscVoted& a, const DiscVoted& b) { return a.votes > b.votes; });
  std::vector<DiscVoted> kept;
  for (const DiscVoted& peak : peaks) {
    const bool seen = std::any_of(kept.begin(), kept.end(), [&peak](const DiscVoted& other) {
      const double smaller = std::min(peak.radius, other.radius);
      return peak.sign == other.sign && cv::norm(peak.at - other.at) < 0.25 * smaller &&
             std::max(peak.radius, other.radius) < 1.4 * smaller;
    });
    if (!seen) kept.push_back(peak);
  }
  return kept;
}

struct Edge {
  double away = 0;      ///< from the middle, in pixels
  double strength = 0;  ///< 0 … 1, of a slope along the direction
};

using Rim = std::array<Edge, kDirections>;

cv::Point2d direction(int k) {
  static const auto directions = [] {
    std::array<cv::Point2d, kDirections> all;
    for (int i = 0; i < kDirections; ++i) {
      const double angle = 2 * CV_PI * i / kDirections;
      all.at(static_cast<std::size_t>(i)) = {std::cos(angle), std::sin(angle)};
    }
    return all;
  }();
  return directions.at(static_cast<std::size_t>(k));
}

/// The strongest edge along each direction between two distances.
Rim rim_of(const Level& level, const cv::Point2d& at, double sign, double nearest,
           double farthest) {
  Rim rim;
  const double step = std::max(0.5, (farthest - nearest) / 12);
  for (int k = 0; k < kDirections; ++k) {
    const cv::Point2d n = direction(k);
    Edge best;
    double before = 0;
    double best_before = 0;
    double best_after = 0;
    bool just = false;
    for (double away = nearest; away <= farthest + 1e-9; away += step) {
      const double x = at.x + away * n.x;
      const double y = at.y + away * n.y;
      double strength = 0;
      if (x >= -0.5 && y >= -0.5 && x <= level.slope_x.cols - 0.5 &&
          y <= level.slope_x.rows - 0.5) {
        strength = -sign * (sample(level.slope_x, x, y) * n.x + sample(level.slope_y, x, y) * n.y);
      }
      if (just) best_after = strength;
      just = strength > best.strength;
      if (just) {
        best = {away, strength};
        best_before = before;
        best_after = strength;
      }
      before = strength;
    }
    // The top of a parabola through three samples.
    const double bend = best_before - 2 * best.strength + best_after;
    if (bend < -1e-6) {
      best.away += step * std::clamp(0.5 * (best_before - best_after) / bend, -0.5, 0.5);
    }
    rim.at(static_cast<std::size_t>(k)) = best;
  }
  return rim;
}

/// Moves the middle to where opposite edges are as far away, and the radius to where they are.
void center_between(const Rim& rim, cv::Point2d& at, double& radius) {
  double xx = 1e-6;
  double xy = 0;
  double yy = 1e-6;
  double x = 0;
  double y = 0;
  double sum = 0;
  double weights = 1e-6;
  for (int k = 0; k < kDirections / 2; ++k) {
    const Edge& here = rim.at(static_cast<std::size_t>(k));
    const Edge& there = rim.at(static_cast<std::size_t>(k + kDirections / 2));
    const double both = std::min(here.strength, there.strength);
    if (both < 0.2) continue;
    const double off = (here.away - there.away) / 2;
    const double mean = (here.away + there.away) / 2;
    // Edges of other things lie farther off on one side.
    const double weight = both / (1 + 16 * off * off / (radius * radius));
    const cv::Point2d n = direction(k);
    xx += weight * n.x * n.x;
    xy += weight * n.x * n.y;
    yy += weight * n.y * n.y;
    x += weight * off * n.x;
    y += weight * off * n.y;
    sum += weight * mean;
    weights += weight;
  }
  // A little of the identity keeps it where only one direction says something.
  const double hold = 0.1 * (xx + yy);
  xx += hold;
  yy += hold;
  const double determinant = xx * yy - xy * xy;
  const double most = 0.5 * radius;
  at.x += std::clamp((x * yy - y * xy) / determinant, -most, most);
  at.y += std::clamp((y * xx - x * xy) / determinant, -most, most);
  if (weights > 0.5) radius = std::clamp(sum / weights, radius / 1.25, radius * 1.25);
}

/// How much of a rim is seen, and how much on the half of the directions where it is seen least:
/// two sides alone, as of a cable, give half of the first and nothing of the second.
struct Rounded {
  float mean = 0;
  float open = 0;
};

Rounded rounded(std::array<float, kDirections> strengths) {
  const auto middle = strengths.begin() + kDirections / 2;
  std::nth_element(strengths.begin(), middle, strengths.end());
  const float low = std::accumulate(strengths.begin(), middle, 0.0F);
  const float high = std::accumulate(middle, strengths.end(), 0.0F);
  return {(low + high) / kDirections, 2 * low / kDirections};
}

/// How much of a rim of each radius is seen about a middle.
void see_rims(const Level& level, const cv::Point2d& at, double radius, SpotSeen& spot) {
  constexpr int kSteps = 30;
  constexpr double kNearestRims = 0.3;  // in radii
  constexpr double kFarthestRims = 2.1;
  constexpr double kInside = 0.86;  // an edge that stands for a rim, in radii of that rim
  constexpr double kOutside = 1.2;
  const double step = (kFarthestRims - kNearestRims) / kSteps;
  std::array<std::array<float, kSteps + 1>, kDirections> strengths;
  for (int k = 0; k < kDirections; ++k) {
    const cv::Point2d n = direction(k);
    for (int i = 0; i <= kSteps; ++i) {
      const double away = (kNearestRims + i * step) * radius;
      const double x = at.x + away * n.x;
      const double y = at.y + away * n.y;
      const bool inside =
          x >= -0.5 && y >= -0.5 && x <= level.image.cols - 0.5 && y <= level.image.rows - 0.5;
      strengths.at(static_cast<std::size_t>(k)).at(static_cast<std::size_t>(i)) =
          inside ? static_cast<float>(sample(level.slope_x, x, y) * n.x +
                                      sample(level.slope_y, x, y) * n.y)
                 : 0;
    }
  }
  for (std::size_t place = 0; place < kRadii; ++place) {
    const double times = radius_at(place) / level.times / radius;
    const int first =
        std::max(0, static_cast<int>(std::ceil((kInside * times - kNearestRims) / step)));
    const int last =
        std::min(kSteps, static_cast<int>(std::floor((kOutside * times - kNearestRims) / step)));
    if (kInside * times < kNearestRims - 0.05 || kOutside * times > kFarthestRims + 0.2 ||
        first > last) {
      continue;
    }
    std::array<float, kDirections> falls{};
    std::array<float, kDirections> climbs{};
    for (std::size_t k = 0; k < kDirections; ++k) {
      const auto& along = strengths.at(k);
      const auto [low, high] = std::minmax_element(along.begin() + first, along.begin() + last + 1);
      falls.at(k) = std::max(0.0F, -*low);
      climbs.at(k) = std::max(0.0F, *high);
    }
    const Rounded fall = rounded(falls);
    const Rounded climb = rounded(climbs);
    const Rounded& more = fall.mean + fall.open > climb.mean + climb.open ? fall : climb;
    spot.rims.at(place) = more.mean;
    spot.open.at(place) = more.open;
    spot.rim = std::max<double>(spot.rim, (more.mean + more.open) / 2);
  }
}

double mean_around(const cv::Mat& image, const cv::Point2d& at, double radius) {
  double sum = 0;
  for (int k = 0; k < kDirections; ++k) {
    const cv::Point2d p = at + radius * direction(k);
    sum += sample(image, p.x, p.y);
  }
  return sum / kDirections;
}

SpotSeen refined(const Level& level, const DiscVoted& peak) {
  cv::Point2d at = peak.at;
  double radius = peak.radius;
  Rim rim;
  for (int round = 0; round < 3; ++round) {
    const double reach = round == 0 ? 0.45 : 0.35;
    rim = rim_of(level, at, peak.sign, (1 - reach) * radius, (1 + reach) * radius);
    center_between(rim, at, radius);
  }
  SpotSeen spot;
  spot.center = level.to_working(at.x, at.y);
  spot.radius = radius * level.times;
  see_rims(level, at, radius, spot);
  spot.contrast_k =
      (mean_around(level.image, at, 0.75 * radius) + mean_around(level.image, at, 0.5 * radius)) /
          2 -
      mean_around(level.image, at, 1.4 * radius);
  return spot;
}

/// One of each group of answers about the same thing, the one with the fullest rim.
std::vector<SpotSeen> without_doubles(std::vector<SpotSeen> found) {
  std::stable_sort(found.begin(), found.end(),
                   [](const SpotSeen& a, const SpotSeen& b) { return a.rim > b.rim; });
  std::vector<SpotSeen> kept;
  for (const SpotSeen& spot : found) {
    const bool seen = std::any_of(kept.begin(), kept.end(), [&spot](const SpotSeen& other) {
      const double apart =
          std::hypot(spot.center.x - other.center.x, spot.center.y - other.center.y);
      const double smaller = std::min(spot.radius, other.radius);
      return apart < 0.3 * smaller && smaller > 0.45 * std::max(spot.radius, other.radius);
    });
    if (!seen) kept.push_back(spot);
    if (kept.size() == kMostSpots) break;
  }
  return kept;
}

}  // namespace

double radius_at(std::size_t place) {
  return 2.5 * std::pow(1.12, static_cast<double>(place));
}

PixelPoint Level::to_working(double x, double y) const {
  return {(x + 0.5) * times - 0.5, (y + 0.5) * times - 0.5};
}

PixelPoint Level::from_working(const PixelPoint& at) const {
  return {(at.x + 0.5) / times - 0.5, (at.y + 0.5) / times - 0.5};
}

const Level& Working::level_for(double radius) const {
  std::size_t i = 0;
  while (i + 1 < levels.size() && radius > 2 * kLeastRadius_px * levels[i].times) ++i;
  return levels[i];
}

PixelPoint Working::to_original(const PixelPoint& at) const {
  return {(at.x + 0.5) * times - 0.5, (at.y + 0.5) * times - 0.5};
}

Working working_picture(const cv::Mat& filled) {
  Working picture;
  picture.times = std::min(filled.cols, filled.rows) / kShortSide_px;
  picture.size = {cvRound(filled.cols / picture.times), cvRound(filled.rows / picture.times)};
  cv::Mat image;
  cv::resize(filled, image, picture.size, 0, 0,
             picture.times > 1 ? cv::INTER_AREA : cv::INTER_CUBIC);
  double noise_k = pixel_noise_k(filled) / std::max(1.0, picture.times);
  const double largest = kMostRadiusShare * kShortSide_px;
  for (double times = 1; kLeastRadius_px * times <= largest; times *= 2) {
    picture.levels.push_back(level_of(image, times, noise_k));
    cv::copyMakeBorder(image, image, 0, image.rows % 2, 0, image.cols % 2, cv::BORDER_REPLICATE);
    cv::resize(image, image, image.size() / 2, 0, 0, cv::INTER_AREA);
    noise_k /= 2;
  }
  return picture;
}

std::vector<SpotSeen> spots(const Working& picture) {
  std::vector<SpotSeen> found;
  const double largest = kMostRadiusShare * kShortSide_px;
  double radius = kLeastRadius_px;
  for (const Level& level : picture.levels) {
    std::vector<DiscVoted> peaks;
    const std::vector<Voter> all = voters(level);
    for (; radius <= std::min(largest, 2 * kLeastRadius_px * level.times); radius *= kRadiusStep) {
      add_peaks(peaks, all, level.image.size(), radius / level.times, 1, kMostPeaks);
      add_peaks(peaks, all, level.image.size(), radius / level.times, -1, kMostPeaks);
    }
    for (const DiscVoted& peak : strongest(std::move(peaks))) found.push_back(refined(level, peak));
  }
  return without_doubles(std::move(found));
}

}  // namespace ohmglow::marking
