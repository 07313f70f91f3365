#include "look.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ohmglow::marking {
namespace {

constexpr double kOutermost = 1.6;  ///< ring, in radii
constexpr double kTurnCost = 0.1;   ///< of likeness, for a half turn

/// Each sample stands for an area.
double weight_of(int ring) {
  return std::sqrt((ring + 0.5) / (Look::kRings / 2.0));
}

void take_mean_off(Look::Rings& rings) {
  double sum = 0;
  double weights = 0;
  for (int i = 0; i < Look::kRings; ++i) {
    for (const float value : rings.at(static_cast<std::size_t>(i))) {
      sum += weight_of(i) * weight_of(i) * value;
    }
    weights += weight_of(i) * weight_of(i) * Look::kAngles;
  }
  const auto mean = static_cast<float>(sum / weights);
  for (auto& ring : rings) {
    for (float& value : ring) value -= mean;
  }
}

double squares(Look::Rings& rings) {
  double sum = 0;
  for (int i = 0; i < Look::kRings; ++i) {
    for (float& value : rings.at(static_cast<std::size_t>(i))) {
      value = static_cast<float>(weight_of(i) * value);
      sum += value * value;
    }
  }
  return sum;
}

void divide(Look::Rings& rings, double length) {
  for (auto& ring : rings) {
    for (float& value : ring) value = static_cast<float>(value / (length + 1e-9));
  }
}

/// Rings written twice over, so that turned ones lie in one piece.
using Twice = std::array<std::array<float, 2 * Look::kAngles>, Look::kRings>;

Twice twice(const Look::Rings& rings) {
  Twice result;
  for (std::size_t i = 0; i < Look::kRings; ++i) {
    std::copy(rings[i].begin(), rings[i].end(), result[i].begin());
    std::copy(rings[i].begin(), rings[i].end(), result[i].begin() + Look::kAngles);
  }
  return result;
}

float correlation(const Look::Rings& a, const Twice& b, std::size_t turn) {
  // A sum for each angle, so that the compiler may take several at once.
  std::array<float, Look::kAngles> sums{};
  for (std::size_t i = 0; i < Look::kRings; ++i) {
    const float* x = a[i].data();
    const float* y = b[i].data() + turn;
    for (std::size_t k = 0; k < Look::kAngles; ++k) sums[k] += x[k] * y[k];
  }
  return std::accumulate(sums.begin(), sums.end(), 0.0F);
}

}  // namespace

Look look_of(const Working& picture, const PixelPoint& center, double radius) {
  const Level& level = picture.level_for(radius);
  const PixelPoint at = level.from_working(center);
  Look look{};
  for (std::size_t i = 0; i < Look::kRings; ++i) {
    const double away =
        kOutermost * (static_cast<double>(i) + 0.5) / Look::kRings * radius / level.times;
    for (std::size_t k = 0; k < Look::kAngles; ++k) {
      const double angle = 2 * CV_PI * static_cast<double>(k) / Look::kAngles;
      const double x = at.x + away * std::cos(angle);
      const double y = at.y + away * std::sin(angle);
      look.warmth[i][k] = sample(level.image, x, y);
      const double gx = sample(level.slope_x, x, y);
      const double gy = sample(level.slope_y, x, y);
      const double outward = gx * std::cos(angle) + gy * std::sin(angle);
      const double around = gy * std::cos(angle) - gx * std::sin(angle);
      const double length = std::sqrt(outward * outward + around * around) + 1e-9;
      look.along[i][k] = static_cast<float>((outward * outward - around * around) / length);
      look.across[i][k] = static_cast<float>(2 * outward * around / length);
    }
  }
  take_mean_off(look.warmth);
  divide(look.warmth, std::sqrt(squares(look.warmth)));
  const double length = std::sqrt(squares(look.along) + squares(look.across));
  divide(look.along, length);
  divide(look.across, length);
  return look;
}

Likeness likeness(const Look& a, const Look& b) {
  const Twice warmth_b = twice(b.warmth);
  const Twice along_b = twice(b.along);
  const Twice across_b = twice(b.across);
  Likeness best;
  double most = -1;
  for (int turn = 0; turn < Look::kAngles; ++turn) {
    const double part = std::min(turn, Look::kAngles - turn) / (Look::kAngles / 2.0);
    const auto at = static_cast<std::size_t>(turn);
    const double warmth = correlation(a.warmth, warmth_b, at);
    const double edges = correlation(a.along, along_b, at) + correlation(a.across, across_b, at);
    const double both = std::max(edges, (warmth + edges) / 2) - kTurnCost * part;
    if (both <= most) continue;
    most = both;
    best = {std::max(0.0, warmth - kTurnCost * part), std::max(0.0, edges - kTurnCost * part)};
  }
  return best;
}

Leaving conductors(const Working& picture, const PixelPoint& center, double radius) {
  constexpr int kWays = 24;
  constexpr std::array<double, 4> kAway{1.7, 2.2, 2.7, 3.2};  // in radii
  constexpr std::array<double, 6> kBeside{0.25, 0.42, 0.6, 0.8, 1.0, 1.2};
  const Level& level = picture.level_for(radius);
  const PixelPoint at = level.from_working(center);
  const double r = radius / level.times;
  std::array<double, kWays> clear{};
  for (int way = 0; way < kWays; ++way) {
    const double c = std::cos(2 * CV_PI * way / kWays);
    const double s = std::sin(2 * CV_PI * way / kWays);
    std::array<double, 2> sum{};  // of strips warmer and colder than beside them
    for (const double away : kAway) {
      std::array<double, 2> left{};
      std::array<double, 2> right{};
      for (const double beside : kBeside) {
        for (const int side : {-1, 1}) {
          const double x = at.x + r * (away * c - side * beside * s);
          const double y = at.y + r * (away * s + side * beside * c);
          if (x < 0 || y < 0 || x > level.image.cols - 1 || y > level.image.rows - 1) continue;
          const double slope =
              side * (sample(level.slope_y, x, y) * c - sample(level.slope_x, x, y) * s);
          auto& seen = side < 0 ? left : right;
          seen[0] = std::max(seen[0], -slope);
          seen[1] = std::max(seen[1], slope);
        }
      }
      for (std::size_t i = 0; i < 2; ++i) sum.at(i) += std::min(left.at(i), right.at(i));
    }
    clear.at(static_cast<std::size_t>(way)) = std::max(sum[0], sum[1]) / kAway.size();
  }
  const auto first = std::max_element(clear.begin(), clear.end()) - clear.begin();
  Leaving leaving{clear.at(static_cast<std::size_t>(first)), 0};
  for (int way = 0; way < kWays; ++way) {
    const int off = std::abs(way - static_cast<int>(first));
    if (std::min(off, kWays - off) < kWays * 5 / 16) continue;
    leaving.second = std::max(leaving.second, clear.at(static_cast<std::size_t>(way)));
  }
  return leaving;
}

}  // namespace ohmglow::marking
