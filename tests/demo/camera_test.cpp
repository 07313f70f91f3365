#include "demo/camera.h"

#include "../python.h"

#include <fmt/format.h>
#include <opencv2/core.hpp>

using namespace ohmglow;
using namespace ohmglow::demo;

namespace {

Surfaces uniform(double celsius, double emissivity, int width = 2, int height = 2) {
  return {cv::Mat(height, width, CV_64F, cv::Scalar(celsius)),
          cv::Mat(height, width, CV_64F, cv::Scalar(emissivity))};
}

Shot shot_of(double air_c, double reflected_c) {
  Shot shot;
  shot.air_c = air_c;
  shot.reflected_c = reflected_c;
  return shot;
}

cv::Scalar mean_and_deviation(const cv::Mat& image) {
  cv::Scalar mean;
  cv::Scalar deviation;
  cv::meanStdDev(image, mean, deviation);
  return {mean[0], deviation[0]};
}

}  // namespace

TEST_CASE("what arrives at the camera is the band integral of the balance") {
  // scipy.integrate.quad over Planck's law with scipy.constants, 8-14 µm; the balance as textbooks
  // print it (Vollmer & Möllmann, Infrared Thermal Imaging, ch. 2, from memory).
  struct Row {
    std::string name;
    double object_c, emissivity, reflected_c, air_c, atmosphere;
    Window window;
  };
  const std::vector<Row> rows{
      {"near", 60, 0.95, 20, 20, 1, {}},
      {"bare", 48, 0.40, 31, 26, 1, {}},
      {"far", 19.5, 0.95, -5, 8, 0.97, {}},
      {"window", 61, 0.95, 26, 27.5, 1, {0.74, 0.05, 25.5, 23.5}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Shot shot = shot_of(row.air_c, row.reflected_c);
    shot.atmosphere_transmittance = row.atmosphere;
    if (row.window.transmittance < 1) shot.window = row.window;
    const auto expected = numbers_from_python(
        "received_" + row.name,
        fmt::format(R"(
import numpy as np
from scipy import constants as s
from scipy.integrate import quad
def band(t):
    f = lambda x: 2*s.h*s.c**2/x**5/np.expm1(s.h*s.c/(x*s.k*(t + 273.15)))
    return quad(f, 8e-6, 14e-6, epsabs=0, epsrel=1e-11)[0]
T, e, Tr, Ta, ta, tw, rw, Tw, Tb = {}, {}, {}, {}, {}, {}, {}, {}, {}
print(repr(tw*(ta*(e*band(T) + (1-e)*band(Tr)) + (1-ta)*band(Ta)) + (1-tw-rw)*band(Tw) + rw*band(Tb)))
)",
                    row.object_c, row.emissivity, row.reflected_c, row.air_c, row.atmosphere,
                    row.window.transmittance, row.window.reflectance, row.window.window_c,
                    row.window.reflected_c));
    const cv::Mat arrived = received(uniform(row.object_c, row.emissivity), shot);
    constexpr double kTable = 2e-5;  // 1 mK of the radiance table is below this share
    CHECK(arrived.at<double>(1, 1) == Approx(expected.at(0)).epsilon(kTable));
  }
}

TEST_CASE("a grey surface looks colder than it is by what its emissivity hides") {
  // Apparent 60 °C seen with emissivity 0.95 and 20 °C reflected is 61.797 °C: computed
  // independently with scipy quadrature.
  Shot shot = shot_of(20, 20);
  Picture picture;
  picture.size = cv::Size(100, 100);
  Noise noise(1, 1);
  const cv::Mat stored =
      stored_celsius(received(uniform(61.797, 0.95, 100, 100), shot), picture, shot, noise);
  constexpr double kOfTheMean = 0.005;  // 10 000 pixels, 100 columns, the table's 1 mK
  CHECK(mean_and_deviation(stored)[0] == Approx(60).margin(kOfTheMean));
}

TEST_CASE("a camera set to an emissivity stores corrected temperatures") {
  // Stored 80 °C at 0.95 and 20 °C is an apparent 77.536 °C: computed independently with scipy.
  Shot shot = shot_of(20, 20);
  shot.saved = Saved{0.95, 20};
  Picture picture;
  picture.size = cv::Size(100, 100);
  Noise noise(1, 2);
  const cv::Mat stored =
      stored_celsius(received(uniform(77.536, 1, 100, 100), shot), picture, shot, noise);
  constexpr double kOfTheMean = 0.005;
  CHECK(mean_and_deviation(stored)[0] == Approx(80).margin(kOfTheMean));
}

TEST_CASE("pixels scatter by the stated noise and columns keep their pattern") {
  // Variances of independent parts add; 4 standard errors of each estimate are allowed.
  Shot shot = shot_of(25, 25);
  Picture picture;
  picture.size = cv::Size(400, 400);
  Noise noise(20260304, 3);
  const cv::Mat stored =
      stored_celsius(received(uniform(25, 1, 400, 400), shot), picture, shot, noise);
  const double expected = std::hypot(kNetd_k, kColumnPattern_k);
  CHECK(mean_and_deviation(stored)[1] == Approx(expected).epsilon(4 / std::sqrt(2.0 * 160000)));

  cv::Mat columns;
  cv::reduce(stored, columns, 0, cv::REDUCE_AVG);
  const double of_means = std::hypot(kColumnPattern_k, kNetd_k / std::sqrt(400.0));
  CHECK(mean_and_deviation(columns)[1] == Approx(of_means).epsilon(4 / std::sqrt(2.0 * 400)));
}

TEST_CASE("the generator's numbers are normal") {
  // Kolmogorov-Smirnov bound for 10 000 numbers at the 0.1 % level: 1.95 / sqrt(n) (tables of the
  // asymptotic distribution); quantiles of the normal law by scipy.
  Noise noise(5, 9);
  constexpr int kCount = 10000;
  std::vector<double> numbers(kCount);
  for (double& x : numbers) x = noise.normal();
  std::sort(numbers.begin(), numbers.end());
  const auto quantiles = numbers_from_python("quantiles", R"(
import numpy as np
from scipy.stats import norm
for q in norm.ppf((np.arange(10000) + 0.5) / 10000): print(repr(float(q)))
)");
  REQUIRE(quantiles.size() == numbers.size());
  double farthest = 0;
  for (int i = 0; i < kCount; ++i) {
    const auto below =
        std::upper_bound(numbers.begin(), numbers.end(), quantiles[static_cast<std::size_t>(i)]);
    const double share = static_cast<double>(below - numbers.begin()) / kCount;
    farthest = std::max(farthest, std::abs(share - (i + 0.5) / kCount));
  }
  CHECK(farthest < 1.95 / std::sqrt(kCount));
}

TEST_CASE("the engine behind the noise is the standard's own") {
  // C++20 [rand.predef]: the 10 000th output of a default mt19937_64 is 9981545732273789042; two
  // streams of one seed differ.
  std::mt19937_64 engine;
  engine.discard(9999);
  CHECK(engine() == 9981545732273789042ULL);
  Noise one(1, 1);
  Noise two(1, 2);
  CHECK(one.uniform() != two.uniform());
}
