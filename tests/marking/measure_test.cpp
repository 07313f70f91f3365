#include "../python.h"
#include "offered/marking/marking.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <limits>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::marking;

namespace {

constexpr float kNaN = std::numeric_limits<float>::quiet_NaN();
constexpr float kInfinity = std::numeric_limits<float>::infinity();
/// Sums of a few thousand single-precision temperatures in double precision.
constexpr double kRounding = 1e-9;

/// A region that is a whole rectangle.
Region block(int x, int y, int width, int height) {
  return region_of(Rectangle{{x + 0.0, y + 0.0}, {width - 1 + 0.2, height - 1 + 0.2}},
                   cv::Size(1000, 1000))
      .value();
}

}  // namespace

TEST_CASE("measures of random marks are those of numpy") {
  // numpy.percentile, mean, std, max; the blocks by numpy's sliding_window_view and argmax.
  const std::string data = output_path("marks.bin");
  const std::vector<double> numbers = numbers_from_python("marks", R"py(
import sys
import numpy as np
rng = np.random.default_rng(3)
with open(r')py" + data + R"py(', 'wb') as out:
    for case in range(300):
        h, w = rng.integers(1, 40, 2)
        y, x = np.mgrid[:h, :w]
        mask = ((x - (w - 1) / 2) / (w / 2))**2 + ((y - (h - 1) / 2) / (h / 2))**2 <= rng.uniform(.9, 2.2)
        mask[h // 2, w // 2] = True
        values = (rng.normal(60, 8, (h, w)) + 30 * np.exp(-((x - w / 3)**2 + (y - h / 3)**2) / 20)).astype('f4')
        inside = np.flatnonzero(mask)
        lost = rng.choice(inside, int(.05 * inside.size * rng.uniform(0, 1)), replace=False)
        values.ravel()[lost] = rng.choice([np.nan, np.inf, -np.inf], lost.size)
        np.array([w, h], 'i4').tofile(out)
        mask.astype('u1').tofile(out)
        values.tofile(out)

        used = np.where(mask & np.isfinite(values), values.astype('f8'), np.nan)
        v = used[np.isfinite(used)]
        has_block = False
        best, at = np.nanmax(used), np.unravel_index(np.nanargmax(used), used.shape)
        if min(h, w) >= 3:
            means = np.lib.stride_tricks.sliding_window_view(used, (3, 3)).mean(axis=(2, 3))
            if np.isfinite(means).any():
                has_block = True
                best = np.nanmax(means)
                at = np.add(np.unravel_index(np.nanargmax(means), means.shape), 1)
        print(best, int(has_block), v.max(), np.percentile(v, 95), v.mean(), v.std(), mask.sum(), lost.size, at[1], at[0])
)py");
  constexpr std::size_t kColumns = 10;
  constexpr int kCases = 300;
  REQUIRE(numbers.size() == kCases * kColumns);
  std::ifstream in(data, std::ios::binary);
  const auto read = [&in](void* into, std::size_t bytes) {
    in.read(static_cast<char*>(into), static_cast<std::streamsize>(bytes));
    REQUIRE(in);
  };
  for (std::size_t i = 0; i < kCases; ++i) {
    CAPTURE(i);
    std::array<std::int32_t, 2> size{};
    read(size.data(), sizeof size);
    Region region{{70, 50, size[0], size[1]}, cv::Mat(size[1], size[0], CV_8U)};
    read(region.mask.data, region.mask.total());
    region.mask *= 255;
    cv::Mat values(size[1], size[0], CV_32F);
    read(values.data, values.total() * sizeof(float));

    const auto m = measure(values, region);
    REQUIRE(m);
    const double* n = &numbers[i * kColumns];
    CHECK(m->hottest_block == Approx(n[0]).epsilon(kRounding));
    CHECK(m->has_block == (n[1] == 1));
    CHECK(m->max == n[2]);
    CHECK(m->p95 == Approx(n[3]).epsilon(kRounding));
    CHECK(m->mean == Approx(n[4]).epsilon(kRounding));
    CHECK(m->deviation == Approx(n[5]).epsilon(1e-7).margin(1e-6));
    CHECK(m->pixels == static_cast<std::int64_t>(n[6]));
    CHECK(m->no_data == static_cast<std::int64_t>(n[7]));
    CHECK(m->hottest == PixelPoint{70 + n[8], 50 + n[9]});
  }
}

TEST_CASE("of equally hot blocks the first in row order is the hottest") {
  cv::Mat values(9, 20, CV_32F, cv::Scalar(50.3F));
  CHECK(measure(values, block(100, 200, 20, 9))->hottest == PixelPoint{101, 201});
  values(cv::Rect(12, 1, 3, 3)) = 71.7F;
  values(cv::Rect(3, 5, 3, 3)) = 71.7F;
  CHECK(measure(values, block(100, 200, 20, 9))->hottest == PixelPoint{113, 202});
  values(cv::Rect(3, 1, 3, 3)) = 71.7F;
  const auto m = measure(values, block(100, 200, 20, 9));
  CHECK(m->hottest == PixelPoint{104, 202});
  CHECK(m->hottest_block == Approx(71.7F).epsilon(kRounding));
}

TEST_CASE("a single hot pixel is diluted in its block and kept as the maximum") {
  cv::Mat values(7, 7, CV_32F, cv::Scalar(40));
  values.at<float>(3, 3) = 49;
  const auto m = measure(values, block(0, 0, 7, 7));
  REQUIRE(m);
  CHECK(m->hottest_block == Approx(41).epsilon(kRounding));
  CHECK(m->max == 49);
  CHECK(m->hottest == PixelPoint{2, 2});
}

TEST_CASE("a mark without a full block says its single hottest pixel") {
  const auto check = [](int width, int height) {
    CAPTURE(width, height);
    cv::Mat values(height, width, CV_32F, cv::Scalar(30));
    values.at<float>(height - 1, width - 1) = 35;
    const auto m = measure(values, block(4, 6, width, height));
    REQUIRE(m);
    CHECK_FALSE(m->has_block);
    CHECK(m->hottest_block == 35);
    CHECK(m->hottest == PixelPoint{4.0 + width - 1, 6.0 + height - 1});
    CHECK(m->pixels == width * height);
  };
  check(1, 1);
  check(2, 2);
  check(1, 30);
  check(30, 2);
}

TEST_CASE("a block counts only with all nine pixels inside the mark and finite") {
  // A plus of radius 2 around (10, 10): only its middle has nine neighbours inside.
  const Region region = region_of(Circle{{10, 10}, 2}, cv::Size(40, 40)).value();
  REQUIRE(region.pixels() == 13);
  cv::Mat values(region.box.size(), CV_32F, cv::Scalar(20));
  values.at<float>(0, 2) = 90;   // inside the mark, in no full block
  values.at<float>(0, 0) = 500;  // outside the mark
  const auto m = measure(values, region);
  REQUIRE(m);
  CHECK(m->has_block);
  CHECK(m->hottest_block == Approx(20).epsilon(kRounding));
  CHECK(m->max == 90);
  CHECK(m->hottest == PixelPoint{10, 10});

  cv::Mat wide(30, 30, CV_32F, cv::Scalar(20));
  wide(cv::Rect(3, 3, 3, 3)) = 80;
  wide.at<float>(4, 4) = kInfinity;
  const auto spoilt = measure(wide, block(0, 0, 30, 30));
  REQUIRE(spoilt);
  CHECK(spoilt->no_data == 1);
  CHECK(spoilt->max == 80);
  CHECK(spoilt->hottest_block < 80);
}

TEST_CASE("a mark with exactly a twentieth of no data is measured and one with more is not") {
  const auto with_holes = [](int holes) {
    cv::Mat values(10, 10, CV_32F, cv::Scalar(20));
    for (int i = 0; i < holes; ++i) values.at<float>(i, 0) = i % 2 ? kNaN : -kInfinity;
    return measure(values, block(0, 0, 10, 10));
  };
  REQUIRE(with_holes(5));
  CHECK(with_holes(5)->no_data == 5);
  REQUIRE_FALSE(with_holes(6));
  CHECK(with_holes(6).error().kind == ErrorKind::not_measurable);
  CHECK(with_holes(6).error().found == "6 of 100");
}

TEST_CASE("a mark of nothing but no data is not measured") {
  const cv::Mat values(4, 4, CV_32F, cv::Scalar(kNaN));
  const auto refused = measure(values, block(0, 0, 4, 4));
  REQUIRE_FALSE(refused);
  CHECK(refused.error().kind == ErrorKind::not_measurable);
}

TEST_CASE("a cut-out of a larger image is measured as its copy is") {
  cv::Mat image(200, 300, CV_32F);
  cv::randu(image, 20, 90);
  const Region region = region_of(Circle{{150, 100}, 12}, image.size()).value();
  const auto direct = measure(image(region.box), region);
  const auto copied = measure(image(region.box).clone(), region);
  REQUIRE((direct && copied));
  CHECK(direct->hottest_block == copied->hottest_block);
  CHECK(direct->hottest == copied->hottest);
  CHECK(direct->p95 == copied->p95);
}

TEST_CASE("a lug smaller than three pixels' worth of image is told apart") {
  // Spot = IFOV × distance: 1.5 mrad at 1 m 4.5 mm, 2.6 mrad at 0.5 m 3.9 mm, 4.5 mrad at 1 m
  // 13.5 mm for three pixels (computed; three by three is common practice, no source).
  const auto smaller = [](double side_mm, double ifov, double distance) {
    return smaller_than_spot(SquareCentimetre{side_mm * side_mm / 100}, Milliradian{ifov},
                             Metre{distance});
  };
  CHECK(*smaller(4.4, 1.5, 1));
  CHECK_FALSE(*smaller(4.6, 1.5, 1));
  CHECK(*smaller(3.8, 2.6, 0.5));
  CHECK_FALSE(*smaller(4.0, 2.6, 0.5));
  CHECK(*smaller(13.4, 4.5, 1));
  CHECK_FALSE(*smaller(13.6, 4.5, 1));
  CHECK_FALSE(smaller_than_spot({}, Milliradian{1}, Metre{1}));
  CHECK_FALSE(smaller_than_spot(SquareCentimetre{1}, {}, Metre{1}));
  CHECK_FALSE(smaller_than_spot(SquareCentimetre{1}, Milliradian{1}, {}));
}

TEST_CASE("the phase of a mark is the given one, else what its name means") {
  Mark mark{.name = "T5"};
  CHECK(phase_of(mark, default_phase_names()) == Phase::two);
  mark.phase = Phase::three;
  CHECK(phase_of(mark, default_phase_names()) == Phase::three);
  const Mark colour{.name = "Y"};
  CHECK_FALSE(phase_of(colour, default_phase_names()));
  CHECK(phase_of(colour, {"R", "Y", "B"}) == Phase::two);
  CHECK_FALSE(phase_of(Mark{.name = "stud"}, default_phase_names()));
}
