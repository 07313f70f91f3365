#include "contrast.h"
#include "offered/marking/proposing.h"
#include "registration.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::marking {
namespace {

constexpr int kLeastSide_px = 32;
/// Another way that fits nearly as well leaves both unsure.
constexpr double kRivalMerit = 0.93;
/// Ways that differ by less than this share of a side are one way, found twice.
constexpr double kOneWayShare = 0.08;

Error no_movement(std::string why) {
  return {.kind = ErrorKind::not_measurable, .what = std::move(why)};
}

bool differs(const cv::Matx33d& a, const cv::Matx33d& b, cv::Size from, cv::Size to) {
  const double least = kOneWayShare * std::max(to.width, to.height);
  for (const double x : {0.25, 0.75}) {
    for (const double y : {0.25, 0.75}) {
      const cv::Point2d at(x * from.width, y * from.height);
      const cv::Point2d between = mapped(a, at) - mapped(b, at);
      if (std::hypot(between.x, between.y) > least) return true;
    }
  }
  return false;
}

}  // namespace

Result<Laid> laid(const cv::Mat& from, const cv::Mat& to) {
  if (std::min({from.cols, from.rows, to.cols, to.rows}) < kLeastSide_px) {
    return fail(no_movement("the image is too small to be held against another"));
  }
  const cv::Mat a = filled(from);
  const cv::Mat b = filled(to);
  if (a.empty() || b.empty()) return fail(no_movement("most pixels of an image hold no data"));
  auto [views_a, views_b] = views_of(a, b);
  const auto ways = alignments(views_a, views_b);
  if (ways.empty() || ways.front().merit <= 0) {
    return fail(no_movement("the image has nothing in common with the other"));
  }
  const Alignment& best = ways.front();
  const auto rival = std::find_if(ways.begin() + 1, ways.end(), [&](const Alignment& way) {
    return differs(way.map, best.map, from.size(), to.size());
  });
  Movement result;
  result.rivalry = rival == ways.end() ? 0 : rival->merit / best.merit;
  if (result.rivalry > kRivalMerit) {
    return fail(no_movement("the image fits the other in more than one place"));
  }
  const cv::Point2d middle((from.cols - 1) / 2.0, (from.rows - 1) / 2.0);
  const cv::Point2d there = mapped(best.map, middle);
  result.right_px = there.x - (to.cols - 1) / 2.0;
  result.down_px = there.y - (to.rows - 1) / 2.0;
  result.scale = magnification(best.map, middle);
  result.turn_deg = turn_of(best.map, middle) * 180 / CV_PI;
  result.likeness = std::max(best.likeness, 0.0);
  result.agreement = std::max(best.agreement, 0.0);
  result.map = best.map;
  return Laid{result, std::move(views_a), std::move(views_b)};
}

Result<Movement> movement(const cv::Mat& from, const cv::Mat& to) {
  const auto result = laid(from, to);
  if (!result) return fail(result.error());
  return result->movement;
}

}  // namespace ohmglow::marking
