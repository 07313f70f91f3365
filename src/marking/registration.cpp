#include "registration.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::marking {
namespace {

// What a camera in a person's hand does between two visits, in steps that the fit bridges.
constexpr double kSizeStep = 0.09;  ///< of the logarithm
constexpr int kSizeSteps = 5;       ///< either way
constexpr double kTurnStep_deg = 6;
constexpr int kTurnSteps = 4;  ///< either way
constexpr int kPeaks = 3;      ///< shifts kept of each turn and scale
constexpr int kPeakReach_px = 3;
// How many ways go through each stage.
constexpr std::size_t kCompared = 120;
constexpr std::size_t kFitted = 24;
constexpr std::size_t kFinal = 4;
/// Ways closer to each other than this are one, in working pixels.
constexpr double kOneWay_px = 2;
constexpr int kFitSteps = 6;
/// Differences of edges that count by a quarter: what has changed since does not pull.
constexpr double kChanged = 0.5;
constexpr double kPlainest = 1e-4;
/// How stiff the picture is against being sheared and tilted; turn and scale are free.
constexpr double kStiffness = 0.1;

cv::Matx33d similarity(double scale, double turn, cv::Point2d from, cv::Point2d to) {
  const double c = scale * std::cos(turn);
  const double s = scale * std::sin(turn);
  return {c, -s, to.x - c * from.x + s * from.y, s, c, to.y - s * from.x - c * from.y, 0, 0, 1};
}

cv::Point2d middle(const cv::Mat& image) {
  return {(image.cols - 1) / 2.0, (image.rows - 1) / 2.0};
}

/// A way in working pixels.
struct Guess {
  cv::Matx33d map;
  double merit = 0;
};

/// Correlation of the edges of `from`, turned and scaled, with those of `to` at every shift, by way
/// of their spectra.
class ShiftSearch {
 public:
  ShiftSearch(const View& from, const View& to)
      : from_(from.edges),
        to_(to.edges),
        size_(cv::getOptimalDFTSize(to_.cols * 3 / 2), cv::getOptimalDFTSize(to_.rows * 3 / 2)),
        spectrum_(spectrum(to_)) {}

  void look(double scale, double turn, std::vector<Guess>& found) const {
    cv::Mat turned;
    cv::warpPerspective(from_, turned, similarity(scale, turn, middle(from_), middle(to_)),
                        to_.size(), cv::INTER_LINEAR);
    const auto energy = static_cast<float>(cv::norm(turned));
    if (energy <= 0) return;
    cv::Mat fit;
    cv::mulSpectrums(spectrum_, spectrum(turned), fit, 0, true);
    cv::dft(fit, fit, cv::DFT_INVERSE | cv::DFT_SCALE);
    std::array<cv::Mat, 2> parts;
    cv::split(fit, parts.data());
    const cv::Matx22f turns = edge_turn(turn);
    cv::Mat real = (parts[0] * turns(0, 0) + parts[1] * turns(1, 0)) / energy;
    for (int peak = 0; peak < kPeaks; ++peak) {
      double best = 0;
      cv::Point at;
      cv::minMaxLoc(real, nullptr, &best, nullptr, &at);
      if (best <= 0) break;
      const cv::Point2d by(at.x - (2 * at.x > size_.width ? size_.width : 0),
                           at.y - (2 * at.y > size_.height ? size_.height : 0));
      found.push_back({similarity(scale, turn, middle(from_), middle(to_) + by), best});
      blot_out(real, at);
    }
  }

 private:
  [[nodiscard]] cv::Mat spectrum(const cv::Mat& edges) const {
    cv::Mat padded = cv::Mat::zeros(size_, CV_32FC2);
    edges.copyTo(padded(cv::Rect({}, edges.size())));
    cv::dft(padded, padded, 0, edges.rows);
    return padded;
  }

  void blot_out(cv::Mat& fit, cv::Point at) const {
    for (int y = -kPeakReach_px; y <= kPeakReach_px; ++y) {
      for (int x = -kPeakReach_px; x <= kPeakReach_px; ++x) {
        fit.at<float>((at.y + y + size_.height) % size_.height,
                      (at.x + x + size_.width) % size_.width) = -1;
      }
    }
  }

  cv::Mat from_;
  cv::Mat to_;
  cv::Size size_;
  cv::Mat spectrum_;
};

/// Reads a picture between its pixels.
template <int Layers>
class Between {
 public:
  using Value = cv::Vec<float, Layers>;
  explicit Between(const cv::Mat& picture)
      : picture_(picture),
        right_(static_cast<float>(picture.cols - 1)),
        bottom_(static_cast<float>(picture.rows - 1)) {}

  /// False outside the picture.
  bool read(float x, float y, Value& value) const {
    if (!(x >= 0 && y >= 0 && x < right_ && y < bottom_)) return false;
    const int column = static_cast<int>(x);
    const int row = static_cast<int>(y);
    const float across = x - static_cast<float>(column);
    const float along = y - static_cast<float>(row);
    const auto* above = picture_.ptr<Value>(row) + column;
    const auto* below = picture_.ptr<Value>(row + 1) + column;
    for (int k = 0; k < Layers; ++k) {
      const float top = above[0][k] + across * (above[1][k] - above[0][k]);
      const float bottom = below[0][k] + across * (below[1][k] - below[0][k]);
      value[k] = top + along * (bottom - top);
    }
    return true;
  }

 private:
  const cv::Mat& picture_;
  float right_;
  float bottom_;
};

/// Sums for a correlation about zero or about the means.
struct Sums {
  double n = 0, a = 0, b = 0, aa = 0, bb = 0, ab = 0;

  void add(float x, float y) {
    n += 1;
    a += x;
    b += y;
    aa += x * x;
    bb += y * y;
    ab += x * y;
  }
  [[nodiscard]] double about_zero() const { return aa > 0 && bb > 0 ? ab / std::sqrt(aa * bb) : 0; }
  [[nodiscard]] double about_means() const {
    const double va = aa - a * a / n;
    const double vb = bb - b * b / n;
    return va > 0 && vb > 0 ? (ab - a * b / n) / std::sqrt(va * vb) : 0;
  }
};

/// Calls with each stride-th pixel of `from` and its place on `to`.
template <class Function>
void for_places(cv::Size size, const cv::Matx33d& map, int stride, const Function& function) {
  const cv::Matx33f m(map);
  for (int y = 0; y < size.height; y += stride) {
    const auto v = static_cast<float>(y);
    for (int x = 0; x < size.width; x += stride) {
      const auto u = static_cast<float>(x);
      const float over = 1 / (m(2, 0) * u + m(2, 1) * v + m(2, 2));
      function(x, y, (m(0, 0) * u + m(0, 1) * v + m(0, 2)) * over,
               (m(1, 0) * u + m(1, 1) * v + m(1, 2)) * over);
    }
  }
}

/// How well the edges fit; the map is kept as it is.
Alignment compared(const View& from, const View& to, const cv::Matx33d& map, int stride) {
  constexpr double kLeast_px = 64;
  const Between<2> there(to.edges);
  const cv::Matx22f turns = edge_turn(turn_of(map, middle(from.edges)));
  Sums sums;
  for_places(from.edges.size(), map, stride, [&](int x, int y, float right, float down) {
    cv::Vec2f b;
    if (!there.read(right, down, b)) return;
    const cv::Vec2f a = turns * from.edges.at<cv::Vec2f>(y, x);
    sums.add(a[0], b[0]);
    sums.add(a[1], b[1]);
  });
  Alignment result{map};
  const double overlap_px = sums.n / 2 * stride * stride;
  if (overlap_px < kLeast_px) return result;
  result.agreement = sums.about_zero();
  const double share =
      overlap_px * std::abs(cv::determinant(map)) / static_cast<double>(to.edges.total());
  const double r = std::clamp(result.agreement, 0.0, 0.999);
  result.merit = -share * std::log(1 - r * r);
  return result;
}

double likeness(const View& from, const View& to, const cv::Matx33d& map) {
  const Between<1> there(to.look);
  Sums sums;
  for_places(from.look.size(), map, 1, [&](int x, int y, float right, float down) {
    cv::Vec<float, 1> b;
    if (there.read(right, down, b)) sums.add(from.look.at<float>(y, x), b[0]);
  });
  return sums.n > 0 ? sums.about_means() : 0;
}

/// A least-squares step of a map. Its parameters: shift, scale, turn, two shears, two tilts, in
/// units of half a picture, so that all are of one size.
template <int Parameters>
struct Normal {
  std::array<float, Parameters*(Parameters + 1) / 2> matrix{};
  std::array<float, Parameters> side{};
  float weights = 0;

  void add(const std::array<float, 8>& slope, float weight, float difference) {
    std::size_t k = 0;
    for (std::size_t i = 0; i < Parameters; ++i) {
      const float weighted = weight * slope[i];
      side[i] += weighted * difference;
      for (std::size_t j = 0; j <= i; ++j) matrix[k++] += weighted * slope[j];
    }
  }

  /// The parameters; zeros where the picture does not tell them.
  [[nodiscard]] std::array<double, 8> solved() const {
    constexpr double kLongestStep = 0.2;
    cv::Mat_<double> a(Parameters, Parameters);
    cv::Mat_<double> b(Parameters, 1);
    std::size_t k = 0;
    for (int i = 0; i < Parameters; ++i) {
      for (int j = 0; j <= i; ++j) a(i, j) = a(j, i) = matrix[k++];
      a(i, i) += weights * (i < 4 ? kPlainest : kStiffness);
      b(i) = -side[static_cast<std::size_t>(i)];
    }
    cv::Mat_<double> step;
    std::array<double, 8> result{};
    if (weights <= 0 || !cv::solve(a, b, step, cv::DECOMP_CHOLESKY)) return result;
    for (int i = 0; i < Parameters; ++i) {
      result[static_cast<std::size_t>(i)] = std::clamp(step(i), -kLongestStep, kLongestStep);
    }
    return result;
  }
};

/// The map near a guess that lays edges onto edges best, by Gauss-Newton steps; parts that have
/// changed count little (Geman-McClure weights).
template <int Parameters>
cv::Matx33d fitted(const View& from, const View& to, cv::Matx33d map, int stride) {
  constexpr double kSettled_px = 0.05;
  const cv::Point2d m = middle(from.edges);
  const double half = std::max(m.x, m.y);
  const cv::Matx33d unit(half, 0, m.x, 0, half, m.y, 0, 0, 1);
  const Between<6> there(to.slopes);
  for (int step = 0; step < kFitSteps; ++step) {
    Normal<Parameters> normal;
    const cv::Matx33d whole = map * unit;
    const cv::Matx33f w(whole);
    const cv::Matx22f turns = edge_turn(turn_of(map, m));
    for_places(from.edges.size(), map, stride, [&](int x, int y, float right, float down) {
      cv::Vec<float, 6> b;
      if (!there.read(right, down, b)) return;
      const cv::Vec2f a = turns * from.edges.at<cv::Vec2f>(y, x);
      const cv::Vec2f difference(b[0] - a[0], b[1] - a[1]);
      const float root =
          1 / (1 + difference.dot(difference) / static_cast<float>(kChanged * kChanged));
      const float weight = root * root;
      normal.weights += weight;
      const auto u = static_cast<float>((x - m.x) / half);
      const auto v = static_cast<float>((y - m.y) / half);
      const float over = 1 / (w(2, 0) * u + w(2, 1) * v + w(2, 2));
      for (int layer = 0; layer < 2; ++layer) {
        const float bx = b[2 + layer] * over;
        const float by = b[4 + layer] * over;
        const float gu = bx * (w(0, 0) - right * w(2, 0)) + by * (w(1, 0) - down * w(2, 0));
        const float gv = bx * (w(0, 1) - right * w(2, 1)) + by * (w(1, 1) - down * w(2, 1));
        const float outward = gu * u + gv * v;
        normal.add({gu, gv, outward, gv * u - gu * v, gu * u - gv * v, gu * v + gv * u,
                    -outward * u, -outward * v},
                   weight, difference[layer]);
      }
    });
    const auto p = normal.solved();
    map = whole *
          cv::Matx33d(1 + p[2] + p[4], p[5] - p[3], p[0], p[5] + p[3], 1 + p[2] - p[4], p[1], p[6],
                      p[7], 1) *
          unit.inv();
    map = map * (1 / map(2, 2));
    const double longest = std::abs(*std::max_element(
        p.begin(), p.end(), [](double a, double b) { return std::abs(a) < std::abs(b); }));
    if (longest * half < kSettled_px) break;
  }
  return map;
}

/// How far apart two maps put a picture's middle part, at most.
double apart(const cv::Matx33d& a, const cv::Matx33d& b, cv::Size size) {
  double most = 0;
  for (const double x : {0.25, 0.75}) {
    for (const double y : {0.25, 0.75}) {
      const cv::Point2d at(x * size.width, y * size.height);
      const cv::Point2d between = mapped(a, at) - mapped(b, at);
      most = std::max(most, std::hypot(between.x, between.y));
    }
  }
  return most;
}

/// The best of those that differ.
template <class Way>
void keep_best(std::vector<Way>& ways, cv::Size size, double one_way_px, std::size_t most) {
  std::stable_sort(ways.begin(), ways.end(),
                   [](const Way& a, const Way& b) { return a.merit > b.merit; });
  std::vector<Way> kept;
  for (const Way& way : ways) {
    if (kept.size() == most) break;
    const bool seen = std::any_of(kept.begin(), kept.end(), [&](const Way& other) {
      return apart(other.map, way.map, size) < one_way_px;
    });
    if (!seen) kept.push_back(way);
  }
  ways = std::move(kept);
}

/// Ways by the coarsest views.
std::vector<Guess> coarse(const View& from, const View& to) {
  const ShiftSearch search(from, to);
  std::vector<Guess> guesses;
  for (const double half_turn : {0.0, CV_PI}) {
    for (int i = -kSizeSteps; i <= kSizeSteps; ++i) {
      for (int j = -kTurnSteps; j <= kTurnSteps; ++j) {
        search.look(std::exp(i * kSizeStep), half_turn + j * kTurnStep_deg * CV_PI / 180, guesses);
      }
    }
  }
  keep_best(guesses, from.edges.size(), 0, kCompared);
  for (Guess& guess : guesses) guess.merit = compared(from, to, guess.map, 1).merit;
  keep_best(guesses, from.edges.size(), kOneWay_px, kFitted);
  for (Guess& guess : guesses) {
    guess.map = fitted<4>(from, to, guess.map, 1);
    guess.merit = compared(from, to, guess.map, 1).merit;
  }
  keep_best(guesses, from.edges.size(), kOneWay_px, kFinal);
  return guesses;
}

}  // namespace

std::vector<Alignment> alignments(const Views& from, const Views& to) {
  const View& a = from.levels.back();
  const View& b = to.levels.back();
  const double finer_a = from.scales.back() / from.scales.front();
  const double finer_b = to.scales.back() / to.scales.front();
  std::vector<Alignment> found;
  for (const Guess& guess : coarse(from.levels.front(), to.levels.front())) {
    cv::Matx33d map = scaling(finer_b) * guess.map * scaling(1 / finer_a);
    map = fitted<6>(a, b, map, 2);
    map = fitted<8>(a, b, map, 2);
    found.push_back(compared(a, b, map, 1));
  }
  keep_best(found, a.edges.size(), 2 * kOneWay_px, kFinal);
  for (Alignment& way : found) {
    way.likeness = likeness(a, b, way.map);
    way.map = scaling(1 / to.scales.back()) * way.map * scaling(from.scales.back());
    way.map = way.map * (1 / way.map(2, 2));
  }
  return found;
}

}  // namespace ohmglow::marking
