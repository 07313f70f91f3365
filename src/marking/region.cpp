#include "offered/marking/marking.h"
#include "offered/vocabulary/number_text.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <opencv2/core.hpp>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace ohmglow::marking {
namespace {

/// A centre this close to the edge, in pixels, is on it: coordinates such as 0.1 + 0.2 arrive with
/// the rounding of decimal fractions, and no one marks to a billionth of a pixel.
constexpr double kOnEdge_px = 1e-9;
/// How far beyond the outermost pixel centres a shape may reach: the pixels' own halves.
constexpr double kHalfPixel_px = 0.5;
/// A polygon with more points than this is not a person's mark. Bounds the work on hostile files.
constexpr std::size_t kMostPoints = 10'000;

struct Extent {
  double left;
  double top;
  double right;
  double bottom;
};

Extent extent_of(const Circle& circle) {
  return {circle.center.x - circle.radius, circle.center.y - circle.radius,
          circle.center.x + circle.radius, circle.center.y + circle.radius};
}

Extent extent_of(const Rectangle& rectangle) {
  return {rectangle.corner.x, rectangle.corner.y, rectangle.corner.x + rectangle.size.x,
          rectangle.corner.y + rectangle.size.y};
}

Extent extent_of(const Polygon& polygon) {
  const auto by_x = [](const PixelPoint& a, const PixelPoint& b) { return a.x < b.x; };
  const auto by_y = [](const PixelPoint& a, const PixelPoint& b) { return a.y < b.y; };
  const auto [left, right] =
      std::minmax_element(polygon.points.begin(), polygon.points.end(), by_x);
  const auto [top, bottom] =
      std::minmax_element(polygon.points.begin(), polygon.points.end(), by_y);
  return {left->x, top->y, right->x, bottom->y};
}

bool is_finite(const PixelPoint& p) {
  return std::isfinite(p.x) && std::isfinite(p.y);
}
bool is_finite(const Circle& c) {
  return is_finite(c.center) && std::isfinite(c.radius);
}
bool is_finite(const Rectangle& r) {
  return is_finite(r.corner) && is_finite(r.size);
}
bool is_finite(const Polygon& polygon) {
  return std::all_of(polygon.points.begin(), polygon.points.end(),
                     [](const PixelPoint& p) { return is_finite(p); });
}

bool has_area(const Circle& circle) {
  return circle.radius > 0;
}
bool has_area(const Rectangle& rectangle) {
  return rectangle.size.x > 0 && rectangle.size.y > 0;
}
/// Not all points on one line.
bool has_area(const Polygon& polygon) {
  if (polygon.points.size() < 3) return false;
  const PixelPoint& origin = polygon.points.front();
  PixelPoint along{0, 0};
  for (const PixelPoint& p : polygon.points) {
    const PixelPoint way{p.x - origin.x, p.y - origin.y};
    if (along == PixelPoint{0, 0}) along = way;
    if (along.x * way.y - along.y * way.x != 0) return true;
  }
  return false;
}

/// Sets the centres of one row that lie from `left` to `right`, in image coordinates.
void fill_span(Region& region, int y, double left, double right) {
  const int first = std::max(static_cast<int>(std::ceil(left - kOnEdge_px)), region.box.x);
  const int last = std::min(static_cast<int>(std::floor(right + kOnEdge_px)),
                            region.box.x + region.box.width - 1);
  if (first > last) return;
  auto* const row = region.mask.ptr<unsigned char>(y - region.box.y);
  std::fill(row + (first - region.box.x), row + (last - region.box.x + 1),
            static_cast<unsigned char>(255));
}

void fill_row(Region& region, int y, const Circle& circle) {
  const double reach = circle.radius + kOnEdge_px;
  const double up = y - circle.center.y;
  const double squared = reach * reach - up * up;
  if (squared < 0) return;
  const double half = std::sqrt(squared);
  fill_span(region, y, circle.center.x - half, circle.center.x + half);
}

void fill_row(Region& region, int y, const Rectangle& rectangle) {
  fill_span(region, y, rectangle.corner.x, rectangle.corner.x + rectangle.size.x);
}

/// Even-odd rule between the edges' crossings with the row; edges along the row and points on it
/// are edge too, which the crossings alone would lose at the lower end.
void fill_row(Region& region, int y, const Polygon& polygon) {
  std::vector<double> crossings;
  for (std::size_t i = 0; i < polygon.points.size(); ++i) {
    const PixelPoint& a = polygon.points[i];
    const PixelPoint& b = polygon.points[(i + 1) % polygon.points.size()];
    if (a.y == y) fill_span(region, y, a.x, a.x);
    if (a.y == y && b.y == y) fill_span(region, y, std::min(a.x, b.x), std::max(a.x, b.x));
    if ((a.y <= y) != (b.y <= y)) crossings.push_back(a.x + (y - a.y) * (b.x - a.x) / (b.y - a.y));
  }
  std::sort(crossings.begin(), crossings.end());
  for (std::size_t i = 0; i + 1 < crossings.size(); i += 2)
    fill_span(region, y, crossings[i], crossings[i + 1]);
}

/// Coordinates that rounding has moved off a whole pixel are put back, so that a row's comparison
/// with a point's height can be exact.
double snapped(double x) {
  return std::abs(x - std::round(x)) < kOnEdge_px ? std::round(x) : x;
}

Circle prepared(const Circle& circle) {
  return circle;
}
Rectangle prepared(const Rectangle& rectangle) {
  return rectangle;
}
Polygon prepared(Polygon polygon) {
  for (PixelPoint& p : polygon.points) p = {snapped(p.x), snapped(p.y)};
  return polygon;
}

std::string text(double pixels) {
  return decimals(pixels, 2);
}

Error outside(const Extent& extent, cv::Size image) {
  const bool wholly = extent.right < -kHalfPixel_px || extent.bottom < -kHalfPixel_px ||
                      extent.left > image.width - kHalfPixel_px ||
                      extent.top > image.height - kHalfPixel_px;
  return Error{
      ErrorKind::invalid_value,
      std::string("the shape lies ") + (wholly ? "wholly" : "partly") + " outside the image of " +
          std::to_string(image.width) + " × " + std::to_string(image.height) + " pixels",
      "x " + text(extent.left) + " to " + text(extent.right) + ", y " + text(extent.top) + " to " +
          text(extent.bottom),
      "x from " + text(-kHalfPixel_px) + " to " + text(image.width - kHalfPixel_px) +
          " and y from " + text(-kHalfPixel_px) + " to " + text(image.height - kHalfPixel_px),
      "move the mark, or check that it was drawn on this image"};
}

Error no_pixel(const Extent& extent) {
  return Error{ErrorKind::invalid_value, "the shape holds no pixel's centre",
               "x " + text(extent.left) + " to " + text(extent.right) + ", y " + text(extent.top) +
                   " to " + text(extent.bottom),
               "a shape around at least one whole-numbered x, y", "make the mark larger"};
}

bool lies_inside(const Extent& extent, cv::Size image) {
  const double reach = kHalfPixel_px + kOnEdge_px;
  return extent.left >= -reach && extent.top >= -reach && extent.right <= image.width - 1 + reach &&
         extent.bottom <= image.height - 1 + reach;
}

/// The centres that a shape's extent may hold; empty where it holds none.
cv::Rect box_of(const Extent& extent, cv::Size image) {
  const int left = std::max(static_cast<int>(std::ceil(extent.left - kOnEdge_px)), 0);
  const int top = std::max(static_cast<int>(std::ceil(extent.top - kOnEdge_px)), 0);
  const int right =
      std::min(static_cast<int>(std::floor(extent.right + kOnEdge_px)), image.width - 1);
  const int bottom =
      std::min(static_cast<int>(std::floor(extent.bottom + kOnEdge_px)), image.height - 1);
  return {left, top, std::max(0, right - left + 1), std::max(0, bottom - top + 1)};
}

template <class Kind>
Result<Region> region_of_kind(const Kind& shape, cv::Size image) {
  if (!is_finite(shape))
    return fail(Error{ErrorKind::invalid_value, "the shape has a coordinate that is not a number",
                      "", "finite pixel coordinates", "draw the mark again"});
  if (!has_area(shape))
    return fail(Error{ErrorKind::invalid_value, "the shape has no area", "",
                      "a circle with a radius, a rectangle with a width and a height, or a polygon "
                      "of at least three points not on one line",
                      "draw the mark again"});
  const Extent extent = extent_of(shape);
  if (!lies_inside(extent, image)) return fail(outside(extent, image));
  Region region;
  region.box = box_of(extent, image);
  if (region.box.empty()) return fail(no_pixel(extent));
  region.mask = cv::Mat::zeros(region.box.size(), CV_8U);
  const auto ready = prepared(shape);
  for (int y = region.box.y; y < region.box.y + region.box.height; ++y) fill_row(region, y, ready);
  if (region.pixels() == 0) return fail(no_pixel(extent));
  return region;
}

}  // namespace

std::int64_t Region::pixels() const {
  return mask.empty() ? 0 : cv::countNonZero(mask);
}

Result<Region> region_of(const Shape& shape, cv::Size image) {
  if (const auto* polygon = std::get_if<Polygon>(&shape);
      polygon && polygon->points.size() > kMostPoints)
    return fail(Error{ErrorKind::too_large, "the polygon has too many points",
                      std::to_string(polygon->points.size()),
                      "at most " + std::to_string(kMostPoints), "draw a simpler mark"});
  try {
    return std::visit([image](const auto& kind) { return region_of_kind(kind, image); }, shape);
  } catch (const cv::Exception&) {
    return fail(Error{ErrorKind::system, "there is not enough memory for a mark's pixels", "", "",
                      "draw a smaller mark or close other programs"});
  }
}

}  // namespace ohmglow::marking
