#include "cases.h"

#include <catch2/catch.hpp>

using namespace ohmglow::test;

namespace {

// Three lugs at 40 °C in air of 20 °C, with a spot outside the marks.
Case with_spot(double spot_c, double u_k = 0, std::vector<double> lugs_c = {40, 40, 40}) {
  Picture picture("a.tif", "M1", "box", lugs_c);
  picture.load(90);
  if (lugs_c.empty()) picture.image.status = ohmglow::diagnosis::ImageStatus::unmarked;
  auto& outside = picture.image.outside.emplace();
  outside.spot.temperature_c = Estimate{spot_c, {{{InputKind::noise, 77}, u_k}}};
  outside.spot.hottest = {12, 34};
  outside.spot.pixels = 40;
  Case c;
  c.rated_motor("M1");
  c.see(picture);
  return c;
}

const Finding* spot_of(const Assessment& a) {
  for (const Finding& f : a.findings) {
    if (f.verdict == Verdict::unmarked_hot_spot) return &f;
  }
  return nullptr;
}

}  // namespace

TEST_CASE("a spot outside the marks that reaches a band over the like lugs is a finding") {
  // The table of bands is that of the lugs: above 15 K over like is urgent.
  const Assessment a = with_spot(56).judge();
  const Finding* spot = spot_of(a);
  REQUIRE(spot);
  CHECK(a.band_id(spot->grade) == "urgent");
  CHECK(spot->rise_over_like->value() == Approx(16));
  CHECK(spot->rise_over_air->value() == Approx(36));
  CHECK(spot->component == "box");
  CHECK(spot->image == "a.tif");
  CHECK_FALSE(spot->lug);
  CHECK_FALSE(spot->phase);
  CHECK(says(spot->evidence, "at pixel 12, 34"));
  CHECK(says(spot->evidence, "a reflection"));
  CHECK(plainly(spot->next_step).find("mark it") != std::string::npos);
  CHECK(a.components[0].verdict != Verdict::unmarked_hot_spot);
}

TEST_CASE("a spot within its uncertainty of the lugs, or colder, is none") {
  CHECK(spot_of(with_spot(42).judge()));
  // 2 K with u = 1.5 K: 1.645 · 1.5 = 2.47 K is what chance reaches at 95 %.
  CHECK_FALSE(spot_of(with_spot(42, 1.5).judge()));
  CHECK_FALSE(spot_of(with_spot(38).judge()));
}

TEST_CASE("a spot as large as a wall makes no finding, and keeps its numbers") {
  Case c = with_spot(56);
  c.images[0].outside->is_background = true;
  const Assessment a = c.judge();
  CHECK_FALSE(spot_of(a));
  CHECK(a.images[0].outside->spot.rise_over_like->value() == Approx(16));
}

TEST_CASE("on an image without marks the rise over air decides, from where warmth alone counts") {
  const Assessment a = with_spot(45, 0, {}).judge();
  const Finding* spot = spot_of(a);
  REQUIRE(spot);
  CHECK(a.band_id(spot->grade) == "monitor");  // above 20 K
  CHECK_FALSE(spot->rise_over_like);
  // Any loaded lug is some kelvins over the air.
  CHECK_FALSE(spot_of(with_spot(35, 0, {}).judge()));
}

TEST_CASE("what rests on a mark that nobody confirmed says to look at the marks first") {
  Case c = with_spot(30, 0, {40, 60, 40});
  for (auto& lug : c.images[0].lugs) lug.raise(ohmglow::diagnosis::Flag::unconfirmed);
  const Assessment a = c.judge();
  REQUIRE_FALSE(a.findings.empty());
  CHECK(plainly(a.findings[0].next_step).find("nobody has confirmed them") != std::string::npos);
  CHECK(says(a.findings[0].evidence, "nobody has confirmed it"));
}
