#include "offered/marking/marking.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <numbers>
#include <numeric>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <random>
#include <string>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::marking;

namespace {

const cv::Size kImage(640, 480);

std::int64_t pixels_of(const Shape& shape) {
  const auto region = region_of(shape, kImage);
  REQUIRE(region);
  CHECK(region->box.size() == region->mask.size());
  CHECK(region->mask.type() == CV_8U);
  return region->pixels();
}

bool holds(const Region& region, int x, int y) {
  const cv::Point at = cv::Point(x, y) - region.box.tl();
  return region.box.contains({x, y}) && region.mask.at<unsigned char>(at) == 255;
}

Polygon moved(Polygon polygon, double x, double y) {
  for (PixelPoint& p : polygon.points) p = {p.x + x, p.y + y};
  return polygon;
}

Error error_of(const Shape& shape) {
  const auto region = region_of(shape, kImage);
  REQUIRE_FALSE(region);
  return region.error();
}

}  // namespace

TEST_CASE("a circle around a pixel holds as many centres as the lattice has points in it") {
  // Gauss circle problem, OEIS A000328 (from memory): points with x² + y² ≤ r², r = 1, 2, …
  constexpr std::array<int, 12> kPoints{5, 13, 29, 49, 81, 113, 149, 197, 253, 317, 377, 441};
  for (std::size_t i = 0; i < kPoints.size(); ++i) {
    CAPTURE(i + 1);
    CHECK(pixels_of(Circle{{100, 200}, static_cast<double>(i + 1)}) == kPoints[i]);
  }
}

TEST_CASE("a circle between four pixels holds the centres within its radius") {
  // Four centres at sqrt(0.5), eight more at sqrt(2.5).
  CHECK(pixels_of(Circle{{100.5, 200.5}, std::sqrt(0.5)}) == 4);
  CHECK(pixels_of(Circle{{100.5, 200.5}, 1.58}) == 4);
  CHECK(pixels_of(Circle{{100.5, 200.5}, std::sqrt(2.5)}) == 12);
}

TEST_CASE("a square with whole-numbered corners holds its edges too") {
  // By the rule of the mark files: a pixel belongs to a shape if its centre is inside or on the
  // edge.
  const Polygon square{{{10, 10}, {14, 10}, {14, 14}, {10, 14}}};
  CHECK(pixels_of(square) == 25);
  CHECK(pixels_of(Rectangle{{10, 10}, {4, 4}}) == 25);
  CHECK(pixels_of(moved(square, 0.5, 0.5)) == 16);
  CHECK(pixels_of(Rectangle{{10.5, 10.5}, {4, 4}}) == 16);
}

TEST_CASE("decimal fractions that add up to an edge put the centre on it") {
  // 10.1 + 1.9 - 0 and 0.1 + 0.2 - 0.3 are not whole in binary.
  CHECK(pixels_of(Rectangle{{10.1, 10.1}, {1.9, 1.9}}) == 4);
  CHECK(pixels_of(Rectangle{{0.1 + 0.2 + 9.7, 20}, {3, 3}}) == 16);
  CHECK(pixels_of(Circle{{30.1 + 0.2 - 0.3, 40}, 5}) == 81);
  const double tenth = 0.1 + 0.2 - 0.3;  // 5.6e-17
  CHECK(pixels_of(Polygon{{{10 + tenth * 100, 10 - tenth * 100},
                           {14 - tenth * 100, 10 + tenth * 100},
                           {14 - tenth * 100, 14 - tenth * 100},
                           {10 + tenth * 100, 14 - tenth * 100}}}) == 25);
}

TEST_CASE("triangles between lattice points hold what Pick's theorem says") {
  // Pick (1899): A = I + B/2 - 1, so inside and edge together are A + B/2 + 1.
  std::mt19937 random(1899);
  std::uniform_int_distribution<int> coordinate(0, 60);
  for (int i = 0; i < 2000; ++i) {
    std::array<std::array<int, 2>, 3> p{};
    for (auto& corner : p) corner = {coordinate(random), coordinate(random)};
    const int twice_area = std::abs((p[1][0] - p[0][0]) * (p[2][1] - p[0][1]) -
                                    (p[1][1] - p[0][1]) * (p[2][0] - p[0][0]));
    if (twice_area == 0) continue;
    int on_edge = 0;
    Polygon triangle;
    for (std::size_t k = 0; k < 3; ++k) {
      const auto& next = p[(k + 1) % 3];
      on_edge += std::gcd(next[0] - p[k][0], next[1] - p[k][1]);
      triangle.points.push_back({static_cast<double>(p[k][0]), static_cast<double>(p[k][1])});
    }
    REQUIRE(pixels_of(triangle) == (twice_area + on_edge) / 2 + 1);
  }
}

TEST_CASE("a polygon that is not convex keeps its notch out") {
  const Polygon notched{
      {{10, 10}, {14, 10}, {14, 14}, {13, 14}, {13, 11}, {11, 11}, {11, 14}, {10, 14}}};
  const auto region = region_of(notched, kImage);
  REQUIRE(region);
  // Pick's theorem: area 4×4 - 2×3 = 10, edge points 4+4+1+3+2+3+1+4 = 22, so 10 + 11 + 1.
  CHECK(region->pixels() == 22);
  CHECK_FALSE(holds(*region, 12, 12));
  CHECK_FALSE(holds(*region, 12, 14));
  CHECK(holds(*region, 11, 14));
  CHECK(holds(*region, 13, 12));
}

TEST_CASE("polygons with any corners hold the centres that an independent test finds inside") {
  // cv::pointPolygonTest, single precision, so centres within 1e-3 of an edge are not compared.
  std::mt19937 random(11);
  std::uniform_real_distribution<double> radius(3, 30);
  for (int i = 0; i < 200; ++i) {
    const int corners = 3 + i % 9;
    Polygon polygon;
    std::vector<cv::Point2f> contour;
    for (int k = 0; k < corners; ++k) {
      const double angle = 2 * std::numbers::pi * k / corners + 0.1;
      const double r = radius(random);
      polygon.points.push_back({80.3 + r * std::cos(angle), 90.7 + r * std::sin(angle)});
      contour.emplace_back(static_cast<float>(polygon.points.back().x),
                           static_cast<float>(polygon.points.back().y));
    }
    const auto region = region_of(polygon, kImage);
    REQUIRE(region);
    std::reverse(polygon.points.begin(), polygon.points.end());
    CHECK(cv::countNonZero(region_of(polygon, kImage)->mask != region->mask) == 0);
    for (int y = 55; y < 125; ++y) {
      for (int x = 45; x < 115; ++x) {
        const double inside =
            cv::pointPolygonTest(contour, {static_cast<float>(x), static_cast<float>(y)}, true);
        if (std::abs(inside) < 1e-3) continue;
        REQUIRE(holds(*region, x, y) == (inside > 0));
      }
    }
  }
}

TEST_CASE("a shape may reach half a pixel beyond the outermost centres and no farther") {
  CHECK(pixels_of(Rectangle{{-0.5, -0.5}, {640, 480}}) == 640 * 480);
  CHECK(pixels_of(Circle{{4.5, 4.5}, 5}) > 0);
  const Error error = error_of(Circle{{4.4, 20}, 5});
  CHECK(error.kind == ErrorKind::invalid_value);
  CHECK(sentence(error).find("partly outside the image of 640 × 480 pixels") != std::string::npos);
  CHECK(sentence(error_of(Circle{{800, 20}, 5})).find("wholly outside the image of 640 × 480") !=
        std::string::npos);
  CHECK(sentence(error_of(Rectangle{{630, 10}, {10, 5}})).find("partly") != std::string::npos);
  CHECK(sentence(error_of(Polygon{{{1, 1}, {5, 1}, {5, 480}}})).find("partly") !=
        std::string::npos);
  CHECK_FALSE(region_of(Circle{{0, 0}, 0.4}, cv::Size(0, 0)));
}

TEST_CASE("what is no shape is refused") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  const std::vector<Shape> wrong{
      Circle{{10, 10}, 0},
      Circle{{10, 10}, -3},
      Circle{{nan, 10}, 3},
      Circle{{10, 10}, infinity},
      Circle{{1e300, 10}, 1e300},
      Rectangle{{10, 10}, {0, 5}},
      Rectangle{{10, 10}, {5, -5}},
      Rectangle{{10, nan}, {5, 5}},
      Polygon{{}},
      Polygon{{{10, 10}, {20, 20}}},
      Polygon{{{10, 10}, {20, 20}, {30, 30}, {10, 10}}},
      Polygon{{{10, 10}, {10, 10}, {10, 10}}},
      Polygon{{{10, 10}, {20, nan}, {30, 10}}},
  };
  for (const Shape& shape : wrong) {
    const Error error = error_of(shape);
    CHECK(error.kind == ErrorKind::invalid_value);
    CHECK_FALSE(error.mend.empty());
  }
}

TEST_CASE("a shape between the pixels that holds no centre is refused") {
  CHECK(error_of(Circle{{10.5, 10.5}, 0.3}).what == "the shape holds no pixel's centre");
  CHECK(error_of(Rectangle{{10.2, 10}, {0.5, 5}}).what == "the shape holds no pixel's centre");
  // Its extent holds a centre, the triangle itself does not.
  CHECK(error_of(Polygon{{{9.6, 9.6}, {10.1, 9.6}, {9.6, 10.1}}}).what ==
        "the shape holds no pixel's centre");
}

TEST_CASE("a polygon with more points than a person draws is refused before any work") {
  Polygon polygon;
  for (int i = 0; i <= 10'000; ++i) polygon.points.push_back({i % 100 * 1.0, i / 100 * 1.0});
  CHECK(error_of(polygon).kind == ErrorKind::too_large);
  polygon.points.pop_back();
  CHECK(region_of(polygon, kImage));
}

TEST_CASE("a bow tie holds its two wings") {
  // Counted by hand, row by row; the wings touch in the middle.
  const auto region = region_of(Polygon{{{10, 10}, {14, 14}, {14, 10}, {10, 14}}}, kImage);
  REQUIRE(region);
  CHECK(holds(*region, 10, 12));
  CHECK(holds(*region, 14, 12));
  CHECK(holds(*region, 12, 12));
  CHECK_FALSE(holds(*region, 12, 11));
  CHECK_FALSE(holds(*region, 12, 13));
  CHECK(region->pixels() == 2 + 4 + 5 + 4 + 2);
}
