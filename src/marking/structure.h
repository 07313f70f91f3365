#pragma once
/// What a picture shows, however warm it is, at the sizes that pictures are compared at.

#include <opencv2/core/mat.hpp>
#include <opencv2/core/matx.hpp>
#include <opencv2/core/types.hpp>
#include <utility>
#include <vector>

namespace ohmglow::marking {

/// A picture at one working size.
struct View {
  cv::Mat look;  ///< CV_32F, local contrast
  /// CV_32FC2: which way edges run, as the unit vector of twice the gradient's angle, shortened
  /// where noise may have made it. A lug that is colder than its plate this time, and was warmer
  /// the last time, has the same edges.
  cv::Mat edges;
  cv::Mat slopes;  ///< six layers: edges, and their derivatives to the right and down
};

/// A picture at its working sizes, the coarsest first.
struct Views {
  std::vector<View> levels;
  std::vector<double> scales;  ///< working pixels per pixel of the picture
};

/// Both without gaps. Working sizes are no larger than the smaller of the two.
[[nodiscard]] std::pair<Views, Views> views_of(const cv::Mat& from, const cv::Mat& to);

[[nodiscard]] cv::Point2d mapped(const cv::Matx33d& map, cv::Point2d at);
/// How far a map turns what is around a point, in radians.
[[nodiscard]] double turn_of(const cv::Matx33d& map, cv::Point2d at);
/// How much larger it makes it.
[[nodiscard]] double magnification(const cv::Matx33d& map, cv::Point2d at);
/// The map between pixel centres of a picture and of the same picture s times as large.
[[nodiscard]] cv::Matx33d scaling(double s);
/// What edges are multiplied by when what they belong to is turned.
[[nodiscard]] cv::Matx22f edge_turn(double turn);

}  // namespace ohmglow::marking
