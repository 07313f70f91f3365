#include "snapping.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::marking {
namespace {

constexpr double kReach = 0.75;  ///< in half sizes of a part; lugs are more than two apart
/// A part is found again from this agreement on.
constexpr double kFound = 0.6;
/// A gain in agreement that noise alone makes.
constexpr double kLeastGain = 0.02;

/// The top of a parabola through three values a step apart, from the middle one.
double top(double before, double at, double after) {
  const double bend = before - 2 * at + after;
  return bend < 0 ? std::clamp((before - after) / (2 * bend), -0.5, 0.5) : 0;
}

cv::Point2d within(cv::Point2d by, double reach) {
  const double far = std::hypot(by.x, by.y);
  return far > reach ? by * (reach / far) : by;
}

double reach_of(const cv::Rect2d& part) {
  return kReach * std::max(part.width, part.height) / 2;
}

Snapped looked_for(const View& from, const View& to, const cv::Matx33d& map,
                   const cv::Rect2d& part) {
  const double reach = reach_of(part);
  const int steps = cvCeil(reach) + 1;
  const double margin = std::max(3.0, std::max(part.width, part.height) / 2);
  const cv::Rect around(cvFloor(part.x - margin), cvFloor(part.y - margin),
                        cvCeil(part.width + 2 * margin) + 1, cvCeil(part.height + 2 * margin) + 1);
  const cv::Rect pattern = around & cv::Rect({}, from.edges.size());
  if (pattern.width < 5 || pattern.height < 5) return {};
  // `to` as `from` would see it there.
  const cv::Matx33d place =
      map * cv::Matx33d(1, 0, pattern.x - steps, 0, 1, pattern.y - steps, 0, 0, 1);
  cv::Mat there;
  cv::warpPerspective(to.edges, there, place, pattern.size() + cv::Size(2 * steps, 2 * steps),
                      cv::INTER_LINEAR | cv::WARP_INVERSE_MAP);
  const cv::Point2d center(part.x + part.width / 2, part.y + part.height / 2);
  cv::transform(there, there, edge_turn(-turn_of(map, center)));
  cv::Mat fit;
  cv::matchTemplate(there, from.edges(pattern), fit, cv::TM_CCORR_NORMED);
  double best = 0;
  cv::Point at;
  cv::minMaxLoc(fit, nullptr, &best, nullptr, &at);
  const double rest = std::max(0.0F, fit.at<float>(steps, steps));
  const bool inside = at.x > 0 && at.y > 0 && at.x < fit.cols - 1 && at.y < fit.rows - 1;
  if (!inside || best - rest < kLeastGain) return {{}, rest};
  const cv::Point2d by(
      at.x - steps + top(fit.at<float>(at.y, at.x - 1), best, fit.at<float>(at.y, at.x + 1)),
      at.y - steps + top(fit.at<float>(at.y - 1, at.x), best, fit.at<float>(at.y + 1, at.x)));
  if (best < kFound) return {{}, rest};
  return {within(by, reach), best};
}

}  // namespace

std::vector<Snapped> snap(const View& from, const View& to, const cv::Matx33d& map,
                          std::span<const cv::Rect2d> parts) {
  std::vector<Snapped> result;
  cv::Point2d sum;
  double found = 0;
  for (const cv::Rect2d& part : parts) {
    result.push_back(looked_for(from, to, map, part));
    if (result.back().agreement < kFound) continue;
    sum += result.back().by;
    found += 1;
  }
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (found > 0 && result[i].agreement < kFound)
      result[i].by = within(sum / found, reach_of(parts[i]));
  }
  return result;
}

}  // namespace ohmglow::marking
