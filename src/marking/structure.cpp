#include "structure.h"

#include "contrast.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::marking {
namespace {

constexpr int kWorking_px[] = {64, 160};  ///< longest side, the coarsest first
/// Gradients shorter than so many deviations of their noise count for little.
constexpr double kEdgeOverNoise = 6;
/// Share of the gradients' square around a place below which an edge there counts for little.
constexpr double kBesideOthers = 0.3;

cv::Mat derivative(const cv::Mat& image, int right, int down) {
  cv::Mat result;
  cv::Sobel(image, result, CV_32F, right, down, 3, 0.125);
  return result;
}

cv::Mat edges_of(const cv::Mat& image) {
  cv::Mat smooth;
  cv::GaussianBlur(image, smooth, {}, 1.0);
  const cv::Mat gx = derivative(smooth, 1, 0);
  const cv::Mat gy = derivative(smooth, 0, 1);
  const cv::Mat squared = gx.mul(gx) + gy.mul(gy) + 1e-12;
  cv::Mat around;
  cv::GaussianBlur(squared, around, {}, std::max(3.0, std::min(image.cols, image.rows) / 12.0));
  // Deviation of a derivative of white noise blurred by 1 px: 1 / sqrt(8 pi) = 0.2 of the noise's.
  const double floor_k = kEdgeOverNoise * 0.2 * pixel_noise_k(image);
  cv::Mat size;
  cv::sqrt(squared.mul(squared + kBesideOthers * around + (floor_k * floor_k + 1e-9)), size);
  cv::Mat edges;
  cv::merge(std::vector<cv::Mat>{(gx.mul(gx) - gy.mul(gy)) / size, 2 * gx.mul(gy) / size}, edges);
  cv::GaussianBlur(edges, edges, {}, 0.7);
  return edges;
}

View view_at(const cv::Mat& image) {
  View view{local_contrast(image), edges_of(image), {}};
  cv::merge(
      std::vector<cv::Mat>{view.edges, derivative(view.edges, 1, 0), derivative(view.edges, 0, 1)},
      view.slopes);
  return view;
}

Views views_at(const cv::Mat& image, int most_px) {
  Views views;
  const int longest = std::max(image.cols, image.rows);
  for (const int working : kWorking_px) {
    const double scale = std::min(working, most_px) / static_cast<double>(longest);
    cv::Mat small;
    cv::resize(image, small, {cvRound(image.cols * scale), cvRound(image.rows * scale)}, 0, 0,
               scale < 1 ? cv::INTER_AREA : cv::INTER_LINEAR);
    views.levels.push_back(view_at(small));
    views.scales.push_back(scale);
  }
  return views;
}

}  // namespace

std::pair<Views, Views> views_of(const cv::Mat& from, const cv::Mat& to) {
  const int most_px = std::min(std::max(from.cols, from.rows), std::max(to.cols, to.rows));
  return {views_at(from, most_px), views_at(to, most_px)};
}

cv::Point2d mapped(const cv::Matx33d& map, cv::Point2d at) {
  const cv::Vec3d p = map * cv::Vec3d(at.x, at.y, 1);
  return {p[0] / p[2], p[1] / p[2]};
}

double turn_of(const cv::Matx33d& map, cv::Point2d at) {
  const cv::Point2d along = mapped(map, {at.x + 0.5, at.y}) - mapped(map, {at.x - 0.5, at.y});
  const cv::Point2d down = mapped(map, {at.x, at.y + 0.5}) - mapped(map, {at.x, at.y - 0.5});
  return std::atan2(along.y - down.x, along.x + down.y);
}

double magnification(const cv::Matx33d& map, cv::Point2d at) {
  const cv::Point2d along = mapped(map, {at.x + 0.5, at.y}) - mapped(map, {at.x - 0.5, at.y});
  const cv::Point2d down = mapped(map, {at.x, at.y + 0.5}) - mapped(map, {at.x, at.y - 0.5});
  return std::sqrt(std::abs(along.cross(down)));
}

cv::Matx33d scaling(double s) {
  return {s, 0, (s - 1) / 2, 0, s, (s - 1) / 2, 0, 0, 1};
}

cv::Matx22f edge_turn(double turn) {
  const auto c = static_cast<float>(std::cos(2 * turn));
  const auto s = static_cast<float>(std::sin(2 * turn));
  return {c, -s, s, c};
}

}  // namespace ohmglow::marking
