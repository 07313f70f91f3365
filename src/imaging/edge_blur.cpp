#include "offered/imaging/edge_blur.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <opencv2/core.hpp>
#include <opencv2/core/hal/intrin.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace ohmglow::imaging {
namespace {

/// Pixels across an edge to each side, and along it. Short along, so that the rim of a round lug is
/// nearly straight: 2 px on a radius of 9 bend by 0.2 px.
constexpr int kAcross_px = 8;
constexpr int kAlong_px = 2;
constexpr int kReach_px = 9;  ///< what a window of any direction covers: √(8² + 2²), rounded up
/// The image is cut into cells that offer their steepest pixel each, so that one long edge does not
/// speak for all.
constexpr int kCell_px = 6;
constexpr std::size_t kMostEdges = 24;
constexpr std::size_t kLeastEdges = 5;
/// Edges fainter than this share of the strongest are left to those that are clearer.
constexpr double kLeastOfStrongest = 0.2;
constexpr double kSharpest_px = 0.3;
constexpr double kDullest_px = 4.0;
/// How much of an edge's variance the fit must explain: a double edge or texture explains less.
constexpr double kExplained = 0.99;
/// A fit that stays duller than the dullest for so many steps is not followed to its end.
constexpr int kDullSteps = 3;
/// Steps that move the width by less lead no nearer to what a blur is good for.
constexpr double kClose_px = 1e-3;
/// The plateau on either side must be seen: two blur widths of it.
constexpr double kPlateau = 2.0;

struct Edge {
  cv::Point at;
  cv::Vec2d normal;
  float steepness;
};

/// The steepest pixels of the cells, strongest first.
std::vector<Edge> steepest(const cv::Mat& celsius) {
  cv::Mat dx;
  cv::Mat dy;
  cv::Mat steepness;
  cv::Sobel(celsius, dx, CV_32F, 1, 0);
  cv::Sobel(celsius, dy, CV_32F, 0, 1);
  cv::magnitude(dx, dy, steepness);
  std::vector<Edge> edges;
  const cv::Rect usable(kReach_px, kReach_px, celsius.cols - 2 * kReach_px,
                        celsius.rows - 2 * kReach_px);
  for (int y = usable.y; y < usable.y + usable.height; y += kCell_px) {
    for (int x = usable.x; x < usable.x + usable.width; x += kCell_px) {
      const cv::Rect cell = cv::Rect(x, y, kCell_px, kCell_px) & usable;
      Edge best{{}, {}, 0};
      for (int row = cell.y; row < cell.y + cell.height; ++row) {
        const auto* values = steepness.ptr<float>(row);
        for (int column = cell.x; column < cell.x + cell.width; ++column) {
          // Comparisons with NaN are false.
          if (values[column] > best.steepness) best = {{column, row}, {}, values[column]};
        }
      }
      if (best.steepness > 0) edges.push_back(best);
    }
  }
  std::sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) {
    return a.steepness != b.steepness ? a.steepness > b.steepness
                                      : std::pair(a.at.y, a.at.x) < std::pair(b.at.y, b.at.x);
  });
  if (edges.size() > kMostEdges) edges.resize(kMostEdges);
  for (Edge& edge : edges) {
    edge.normal = {dx.at<float>(edge.at) / edge.steepness, dy.at<float>(edge.at) / edge.steepness};
  }
  return edges;
}

/// A pixel near an edge: how far across it, and its temperature.
struct Sample {
  double across;
  double value;
};

/// Empty where a pixel holds no data.
std::vector<Sample> samples_of(const cv::Mat& celsius, const Edge& edge) {
  std::vector<Sample> samples;
  for (int dy = -kReach_px; dy <= kReach_px; ++dy) {
    const auto* row = celsius.ptr<float>(edge.at.y + dy);
    for (int dx = -kReach_px; dx <= kReach_px; ++dx) {
      const double across = dx * edge.normal[0] + dy * edge.normal[1];
      const double along = dy * edge.normal[0] - dx * edge.normal[1];
      if (std::abs(across) > kAcross_px || std::abs(along) > kAlong_px) continue;
      const float value = row[edge.at.x + dx];
      if (!std::isfinite(value)) return {};
      samples.push_back({across, value});
    }
  }
  return samples;
}

/// The normal distribution and its density, from a table of both: cubic pieces that have the
/// density for slope miss them by 1.4e-9 and 3e-9 at most, and cost a tenth of erfc and exp.
class Normal {
 public:
  struct At {
    double share;
    double density;
  };

  [[nodiscard]] static At at(double z) {
    if (!(z > -kFarthest)) return {0, 0};
    if (!(z < kFarthest)) return {1, 0};
    static const Normal table;
    const double along = (z + kFarthest) * kKnotsPerUnit;
    const auto i = static_cast<std::size_t>(along);
    const double t = along - static_cast<double>(i);
    const Knot& a = table.knots_[i];
    const Knot& b = table.knots_[i + 1];
    const double to_b = t * t * (3 - 2 * t);
    const double slope_a = t * (1 - t) * (1 - t) / kKnotsPerUnit;
    const double slope_b = t * t * (t - 1) / kKnotsPerUnit;
    return {a.share + to_b * (b.share - a.share) + slope_a * a.density + slope_b * b.density,
            a.density + to_b * (b.density - a.density) + slope_a * a.slope + slope_b * b.slope};
  }

 private:
  static constexpr int kFarthest = 8;
  static constexpr int kKnotsPerUnit = 32;
  struct Knot {
    double share;
    double density;
    double slope;  ///< of the density
  };

  Normal() {
    for (std::size_t i = 0; i < knots_.size(); ++i) {
      const double z = static_cast<double>(i) / kKnotsPerUnit - kFarthest;
      const double density = std::exp(-z * z / 2) / std::sqrt(2 * std::numbers::pi);
      knots_[i] = {std::erfc(-z / std::numbers::sqrt2) / 2, density, -z * density};
    }
  }

  std::array<Knot, 2 * kFarthest * kKnotsPerUnit + 1> knots_{};
};

/// level + height · Φ((across − where)/width)
struct Step {
  double level;
  double height;
  double where;
  double width;
};

/// How far the samples lie from a step, and the equations of the next one.
struct Miss {
  double squares = 0;
  cv::Matx44d normal = {};
  cv::Vec4d right = {};
};

/// Of two samples at once: the derivatives by height, by where and by width (the last two but for a
/// factor of the step), and how far off the step is.
struct Pair {
  cv::v_float64x2 share;
  cv::v_float64x2 density;
  cv::v_float64x2 tilt;  ///< density · z
  cv::v_float64x2 off;
};

/// `count` is 1 or 2; what is not there weighs nothing.
Pair pair_at(const Sample* samples, std::size_t count, const Step& step) {
  constexpr std::size_t kLanes = 2;
  alignas(16) double share[kLanes] = {};
  alignas(16) double density[kLanes] = {};
  alignas(16) double tilt[kLanes] = {};
  alignas(16) double off[kLanes] = {};
  for (std::size_t lane = 0; lane < count; ++lane) {
    const double z = (samples[lane].across - step.where) / step.width;
    const Normal::At at = Normal::at(z);
    share[lane] = at.share;
    density[lane] = at.density;
    tilt[lane] = at.density * z;
    off[lane] = samples[lane].value - step.level - step.height * at.share;
  }
  return {cv::v_load_aligned(share), cv::v_load_aligned(density), cv::v_load_aligned(tilt),
          cv::v_load_aligned(off)};
}

Miss miss_of(const std::vector<Sample>& samples, const Step& step) {
  // Only what differs of the symmetric 4 × 4 sums, each in two halves.
  enum Sum { s, d, t, ss, sd, st, dd, dt, tt, o, os, od, ot, oo, kSums };
  std::array<cv::v_float64x2, kSums> halves;
  halves.fill(cv::v_setzero_f64());
  for (std::size_t i = 0; i < samples.size(); i += 2) {
    const auto [share, density, tilt, off] =
        pair_at(&samples[i], std::min<std::size_t>(2, samples.size() - i), step);
    halves[s] += share;
    halves[d] += density;
    halves[t] += tilt;
    halves[ss] += share * share;
    halves[sd] += share * density;
    halves[st] += share * tilt;
    halves[dd] += density * density;
    halves[dt] += density * tilt;
    halves[tt] += tilt * tilt;
    halves[o] += off;
    halves[os] += off * share;
    halves[od] += off * density;
    halves[ot] += off * tilt;
    halves[oo] += off * off;
  }
  std::array<double, kSums> sum;
  std::transform(halves.begin(), halves.end(), sum.begin(),
                 [](const cv::v_float64x2& half) { return cv::v_reduce_sum(half); });
  const double k = -step.height / step.width;
  const auto n = static_cast<double>(samples.size());
  return {sum[oo],
          cv::Matx44d(n, sum[s], k * sum[d], k * sum[t],                          //
                      sum[s], sum[ss], k * sum[sd], k * sum[st],                  //
                      k * sum[d], k * sum[sd], k * k * sum[dd], k * k * sum[dt],  //
                      k * sum[t], k * sum[st], k * k * sum[dt], k * k * sum[tt]),
          cv::Vec4d(sum[o], sum[os], k * sum[od], k * sum[ot])};
}

/// One damped Gauss-Newton step.
Step improved(const Step& step, const Miss& miss, double damping) {
  cv::Matx44d normal = miss.normal;
  for (int i = 0; i < 4; ++i) normal(i, i) *= 1 + damping;
  const cv::Vec4d move = normal.solve(miss.right, cv::DECOMP_CHOLESKY);
  return {step.level + move[0], step.height + move[1], step.where + move[2], step.width + move[3]};
}

/// Where the samples' moments say that the step is: of a step between −A and A the mean share is
/// (A − where)/2A, and the mean of across · share is (A² − where² − width²)/4A.
Step guessed(const std::vector<Sample>& samples) {
  constexpr double kNear_px = kAcross_px / 2.0;
  double low = 0;
  double high = 0;
  int count_low = 0;
  int count_high = 0;
  for (const Sample& sample : samples) {
    if (sample.across < -kNear_px) low += sample.value, ++count_low;
    if (sample.across > kNear_px) high += sample.value, ++count_high;
  }
  low /= std::max(count_low, 1);
  high /= std::max(count_high, 1);
  if (high == low) return {low, 0, 0, 1};
  double share = 0;
  double moment = 0;
  for (const Sample& sample : samples) {
    share += (sample.value - low) / (high - low);
    moment += sample.across * (sample.value - low) / (high - low);
  }
  const auto n = static_cast<double>(samples.size());
  const double where = kAcross_px * (1 - 2 * share / n);
  const double variance = kAcross_px * kAcross_px - where * where - 4 * kAcross_px * moment / n;
  return {low, high - low, std::clamp(where, -kNear_px, kNear_px),
          std::sqrt(std::clamp(variance, 0.25, 9.0))};
}

struct Fit {
  Step step;
  double squares;
};

Fit fitted(const std::vector<Sample>& samples) {
  Step step = guessed(samples);
  Miss miss = miss_of(samples, step);
  double damping = 1e-3;
  int dull_steps = 0;
  for (int i = 0; i < 20 && dull_steps < kDullSteps; ++i) {
    const Step next = improved(step, miss, damping);
    const bool possible = next.width > kSharpest_px / 2 && next.width < 2 * kDullest_px &&
                          std::abs(next.where) < kAcross_px;
    const Miss next_miss = possible ? miss_of(samples, next) : Miss{};
    if (!possible || next_miss.squares > miss.squares || !std::isfinite(next_miss.squares)) {
      damping *= 10;
      if (damping > 1e4) break;
      continue;
    }
    const double moved = std::abs(next.width - step.width);
    step = next;
    miss = next_miss;
    damping /= 10;
    dull_steps = step.width > kDullest_px ? dull_steps + 1 : 0;
    if (moved < kClose_px) break;
  }
  return {step, miss.squares};
}

/// The width of an edge that is single, straight and seen to both sides.
std::optional<double> width_of(const std::vector<Sample>& samples) {
  constexpr std::size_t kFewSamples = 40;
  if (samples.size() < kFewSamples) return std::nullopt;
  const auto [step, squares] = fitted(samples);
  if (!(step.width >= kSharpest_px && step.width <= kDullest_px)) return std::nullopt;
  if (std::abs(step.where) + kPlateau * step.width > kAcross_px) return std::nullopt;
  double mean = 0;
  for (const Sample& sample : samples) mean += sample.value;
  mean /= static_cast<double>(samples.size());
  double variance = 0;
  for (const Sample& sample : samples) variance += (sample.value - mean) * (sample.value - mean);
  if (!(squares < (1 - kExplained) * variance)) return std::nullopt;
  return step.width;
}

}  // namespace

std::optional<EdgeBlur> edge_blur(const cv::Mat& celsius) {
  if (celsius.type() != CV_32F || std::min(celsius.cols, celsius.rows) <= 2 * kReach_px)
    return std::nullopt;
  const std::vector<Edge> edges = steepest(celsius);
  std::vector<double> widths;
  for (const Edge& edge : edges) {
    if (edge.steepness < kLeastOfStrongest * edges.front().steepness) break;
    if (const auto width = width_of(samples_of(celsius, edge))) widths.push_back(*width);
  }
  if (widths.size() < kLeastEdges) return std::nullopt;
  const auto middle = widths.begin() + static_cast<std::ptrdiff_t>(widths.size() / 2);
  std::nth_element(widths.begin(), middle, widths.end());
  return EdgeBlur{*middle, static_cast<int>(widths.size())};
}

}  // namespace ohmglow::imaging
