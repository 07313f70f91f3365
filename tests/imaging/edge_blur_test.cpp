// Blur told from synthetic edges whose blur is known by construction, and from real frames.

#include "offered/imaging/edge_blur.h"

#include "test_images.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <random>

using namespace ohmglow;
using namespace ohmglow::imaging;

namespace {

/// What the blur may be off by, in share of itself.
constexpr double kTenPercent = 0.10;

double step_at(double distance, double sigma) {
  return std::erfc(-distance / (sigma * std::numbers::sqrt2)) / 2;
}

/// A straight edge of 20 K through the middle, at an angle to the rows, with noise.
cv::Mat slanted(double sigma, double degrees, double noise_k, int seed) {
  const double nx = std::cos(degrees * std::numbers::pi / 180);
  const double ny = std::sin(degrees * std::numbers::pi / 180);
  std::mt19937 random(seed);
  std::normal_distribution<double> normal(0, noise_k);
  cv::Mat image(96, 128, CV_32F);
  for (int y = 0; y < image.rows; ++y) {
    for (int x = 0; x < image.cols; ++x) {
      const double distance = (x - 63.3) * nx + (y - 47.6) * ny;
      image.at<float>(y, x) =
          static_cast<float>(25 + 20 * step_at(distance, sigma) + normal(random));
    }
  }
  return image;
}

}  // namespace

TEST_CASE("the blur of slanted edges is recovered within a tenth at several angles and noises") {
  // By construction: an error function across the edge is a sharp edge under a Gaussian.
  for (const double sigma : {0.5, 0.7, 1.0, 1.5, 2.2}) {
    for (const double degrees : {3.0, 17.0, 31.0, 45.0, 72.0, 88.0, 140.0, 263.0}) {
      for (const double noise_k : {0.0, 0.05, 0.5}) {
        CAPTURE(sigma, degrees, noise_k);
        const auto blur = edge_blur(slanted(sigma, degrees, noise_k, 5));
        REQUIRE(blur);
        CHECK(blur->sigma_px == Approx(sigma).epsilon(kTenPercent));
      }
    }
  }
}

TEST_CASE("the blur of a sharp picture of round lugs is the Gaussian that blurred it") {
  // cv::GaussianBlur over a picture drawn eight times finer, then averaged over the pixels: a
  // pixel's own extent adds 1/12 px² to the variance (a uniform distribution's).
  constexpr int kFiner = 8;
  for (const double sigma : {0.6, 1.0, 1.6}) {
    cv::Mat fine(160 * kFiner, 240 * kFiner, CV_32F, cv::Scalar(24));
    for (int lug = 0; lug < 3; ++lug)
      cv::circle(fine, {(50 + 70 * lug) * kFiner, 80 * kFiner}, 14 * kFiner,
                 cv::Scalar(45 + 6 * lug), cv::FILLED);
    cv::GaussianBlur(fine, fine, {}, sigma * kFiner);
    cv::Mat image;
    cv::resize(fine, image, {}, 1.0 / kFiner, 1.0 / kFiner, cv::INTER_AREA);
    const auto blur = edge_blur(image);
    CAPTURE(sigma);
    REQUIRE(blur);
    CHECK(blur->sigma_px == Approx(std::sqrt(sigma * sigma + 1.0 / 12)).epsilon(kTenPercent));
  }
}

TEST_CASE("noise, ramps, empty pictures and pictures without data have no blur") {
  // By construction: nothing in them is an edge.
  std::mt19937 random(3);
  std::normal_distribution<float> normal(25, 1);
  cv::Mat noise(96, 128, CV_32F);
  noise.forEach<float>([](float& value, const int*) { value = 0; });
  for (int y = 0; y < noise.rows; ++y) {
    for (int x = 0; x < noise.cols; ++x) noise.at<float>(y, x) = normal(random);
  }
  CHECK_FALSE(edge_blur(noise));
  cv::Mat ramp(96, 128, CV_32F);
  for (int y = 0; y < ramp.rows; ++y) {
    for (int x = 0; x < ramp.cols; ++x) ramp.at<float>(y, x) = static_cast<float>(x);
  }
  CHECK_FALSE(edge_blur(ramp));
  CHECK_FALSE(edge_blur(cv::Mat(96, 128, CV_32F, cv::Scalar(20))));
  CHECK_FALSE(edge_blur(cv::Mat(96, 128, CV_32F, cv::Scalar(std::nan("")))));
  CHECK_FALSE(edge_blur(cv::Mat()));
  CHECK_FALSE(edge_blur(cv::Mat(12, 12, CV_32F, cv::Scalar(20))));
}

TEST_CASE("pixels without data near an edge leave it to the other edges") {
  // By construction.
  cv::Mat image = slanted(1, 17, 0.05, 9);
  image(cv::Rect(60, 40, 3, 3)).setTo(std::nan(""));
  const auto blur = edge_blur(image);
  REQUIRE(blur);
  CHECK(blur->sigma_px == Approx(1).epsilon(kTenPercent));
}

TEST_CASE("real frames have a finite, plausible blur or none", "[real]") {
  // No published figure: a camera blurs by some tenths of a pixel to a few (common practice).
  const std::filesystem::path folder = OHMGLOW_REAL_DATA;
  int told = 0;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
    if (!entry.is_regular_file() || entry.path().extension() != ".tif") continue;
    const auto bytes = read_bytes(entry.path(), ReadLimits{}.max_bytes);
    if (!bytes) continue;
    const auto stored = read_stored(*bytes, entry.path().filename().string());
    if (!stored) continue;
    cv::Mat values;
    stored->pixels.convertTo(values, CV_32F);
    const auto blur = edge_blur(values);
    if (!blur) continue;
    CAPTURE(entry.path().string());
    CHECK(blur->sigma_px >= 0.3);
    CHECK(blur->sigma_px <= 4);
    ++told;
  }
  CHECK(told > 0);
}
