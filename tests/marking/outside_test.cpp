// Pictures with a known answer are drawn here.
#include "offered/marking/outside.h"

#include <catch2/catch.hpp>
#include <limits>
#include <opencv2/imgproc.hpp>

using namespace ohmglow;
using marking::HotPlace;

namespace {

constexpr double kPlateNoise_k = 0.05;

/// Three marked lugs at 30 °C on a plate at 24 °C.
struct Box {
  cv::Mat celsius = cv::Mat(180, 240, CV_32F);
  std::vector<Mark> marks;

  explicit Box(std::array<double, 3> lugs_c = {30, 30, 30}) {
    cv::RNG random(7);
    random.fill(celsius, cv::RNG::NORMAL, 24.0, kPlateNoise_k);
    for (std::size_t i = 0; i < lugs_c.size(); ++i) {
      const cv::Point2d at(60.0 + 60 * static_cast<double>(i), 80);
      spot(at, 10, lugs_c.at(i) - 24);
      Mark mark;
      mark.name = "T" + std::to_string(i + 1);
      mark.phase = kPhases.at(i);
      mark.shape = Circle{{at.x, at.y}, 12};
      marks.push_back(mark);
    }
  }
  Box& spot(cv::Point2d at, double radius, double rise_k) {
    cv::Mat disc = cv::Mat::zeros(celsius.size(), CV_32F);
    cv::circle(disc, at, cvRound(radius), 1, -1);
    cv::GaussianBlur(disc, disc, {}, 1.2);
    celsius += rise_k * disc;
    return *this;
  }
  /// A cable of 8 px down from a lug, warmed by it: the rise falls to 1/e in 40 px.
  Box& cable(int x, double rise_k, int from_y = 80) {
    for (int y = from_y; y < 180; ++y) {
      const auto rise = static_cast<float>(rise_k * std::exp(-(y - 80) / 40.0));
      for (int dx = -4; dx < 4; ++dx) {
        auto& pixel = celsius.at<float>(y, x + dx);
        pixel = std::max(pixel, 24 + rise);
      }
    }
    return *this;
  }
  [[nodiscard]] std::optional<HotPlace> look(std::optional<Celsius> warmer_than = {},
                                             bool rims_count = true) const {
    imaging::StoredImage stored;
    stored.pixels = celsius;
    return marking::hottest_outside(imaging::ThermalImage(stored, {}), marks, warmer_than,
                                    rims_count);
  }
};

double distance(const HotPlace& place, cv::Point2d to) {
  return cv::norm(cv::Point2d(place.at) - to);
}

}  // namespace

TEST_CASE("a hot spot between the lugs, on a cable or in a corner is found where it is") {
  for (const cv::Point2d at : {cv::Point2d(90, 80), {120, 150}, {225, 12}}) {
    for (const double rise_k : {10.0, 30.0, 80.0}) {
      const auto place = Box().cable(120, 5).spot(at, 5, rise_k).look(Celsius{30});
      REQUIRE(place);
      CHECK(distance(*place, at) <= 5);
      CHECK_FALSE(place->is_background);
      CHECK(place->pixels < 150);
    }
  }
}

TEST_CASE("what a hot lug warms is no place of its own") {
  const Box hot = Box({30, 70, 30}).cable(120, 44);
  CHECK_FALSE(hot.look(Celsius{30}));
  // A spot on the same cable that is hotter than what leads to it is one.
  Box crimp = hot;
  crimp.spot({120, 140}, 5, 30);
  const auto place = crimp.look(Celsius{30});
  REQUIRE(place);
  CHECK(distance(*place, {120, 140}) <= 5);
}

TEST_CASE("along a bare lug's rim nothing counts, and farther off it does") {
  // The lugs mirror a cold wall: their cables look 10 K warmer.
  const Box bare = Box().cable(120, 24, 96);
  CHECK(bare.look(Celsius{30}));
  CHECK_FALSE(bare.look(Celsius{30}, false));
  Box crimp = bare;
  crimp.spot({120, 150}, 5, 40);
  const auto place = crimp.look(Celsius{30}, false);
  REQUIRE(place);
  CHECK(distance(*place, {120, 150}) <= 5);
}

TEST_CASE("an even box has nothing outside its marks") {
  CHECK_FALSE(Box().look(Celsius{30}));
  CHECK_FALSE(Box().look());
}

TEST_CASE("a forgotten lug is found, and on an image without marks the hottest of all") {
  Box box({30, 30, 50});
  box.marks.pop_back();
  const auto forgotten = box.look(Celsius{30});
  REQUIRE(forgotten);
  CHECK(distance(*forgotten, {180, 80}) <= 10);
  box.marks.clear();
  const auto unmarked = box.look();
  REQUIRE(unmarked);
  CHECK(distance(*unmarked, {180, 80}) <= 10);
  CHECK_FALSE(unmarked->is_background);
}

TEST_CASE("a hot wall is called background, and a small spot goes before it") {
  Box box;
  box.celsius(cv::Rect(200, 0, 40, 180)) += 20;
  const auto wall = box.look(Celsius{30});
  REQUIRE(wall);
  CHECK(wall->is_background);
  box.spot({90, 140}, 5, 12);
  const auto spot = box.look(Celsius{30});
  REQUIRE(spot);
  CHECK_FALSE(spot->is_background);
  // A box's rim along the image's edge goes on beyond it, however little of it shows.
  Box rim;
  rim.celsius(cv::Rect(80, 175, 60, 5)) += 20;
  const auto strip = rim.look(Celsius{30});
  REQUIRE(strip);
  CHECK(strip->is_background);
  CHECK(distance(*spot, {90, 140}) <= 5);
}

TEST_CASE("pixels without data are passed by, and an image of nothing else has no place") {
  Box box;
  box.spot({90, 140}, 5, 12);
  const float none = std::numeric_limits<float>::quiet_NaN();
  box.celsius(cv::Rect(0, 0, 30, 30)).setTo(none);
  const auto place = box.look(Celsius{30});
  REQUIRE(place);
  CHECK(distance(*place, {90, 140}) <= 5);
  box.celsius.setTo(none);
  CHECK_FALSE(box.look(Celsius{30}));
}
