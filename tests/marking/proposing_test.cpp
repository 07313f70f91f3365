// Pictures with a known answer are drawn here; movements are made by OpenCV's warpAffine, which is
// not what finds them again.
#include "offered/marking/proposing.h"

#include "offered/sight/sight.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

using namespace ohmglow;
using marking::Proposal;

namespace {

constexpr double kNoise_k = 0.05;

cv::Mat plain(cv::Size size, int seed, double noise_k = kNoise_k) {
  cv::Mat image(size, CV_32F);
  cv::RNG random(static_cast<std::uint64_t>(seed));
  random.fill(image, cv::RNG::NORMAL, 23.0, noise_k);
  return image;
}

void add_disc(cv::Mat& image, PixelPoint at, double radius, double rise_k) {
  cv::Mat disc = cv::Mat::zeros(image.size(), CV_32F);
  cv::circle(disc, cv::Point(cvRound(at.x * 16), cvRound(at.y * 16)), cvRound(radius * 16), 1, -1,
             cv::LINE_8, 4);
  cv::GaussianBlur(disc, disc, {}, 1.2);
  image += rise_k * disc;
}

/// A picture with things in it: a warm cable, a box's edge, three lugs, clutter.
cv::Mat scene(int seed, std::array<double, 3> rises_k = {9, 12, 10}) {
  cv::Mat image = plain({240, 180}, seed);
  image.rowRange(150, 180) += 2;
  image.colRange(20, 26) += 1.5;
  for (int i = 0; i < 3; ++i) {
    image.colRange(56 + 60 * i, 65 + 60 * i) += 2;
    add_disc(image, {60.0 + 60 * i, 80}, 12, rises_k.at(static_cast<std::size_t>(i)));
  }
  add_disc(image, {215, 30}, 6, 3);
  add_disc(image, {30, 120}, 9, 2);
  return image;
}

cv::Mat moved(const cv::Mat& image, double right, double down) {
  cv::Mat result;
  const cv::Mat move = (cv::Mat_<double>(2, 3) << 1, 0, right, 0, 1, down);
  cv::warpAffine(image, result, move, image.size(), cv::INTER_CUBIC, cv::BORDER_REPLICATE);
  cv::Mat noise(image.size(), CV_32F);
  cv::RNG random(99);
  random.fill(noise, cv::RNG::NORMAL, 0.0, kNoise_k);
  return result + noise;
}

MarkFile marks_of_scene() {
  MarkFile file{"older.tif", 240, 180, {}};
  for (const Phase phase : kPhases) {
    Mark mark;
    mark.name = "T" + std::to_string(number_of(phase));
    mark.phase = phase;
    mark.shape = Circle{{60.0 * number_of(phase), 80}, 7};
    file.marks.push_back(mark);
  }
  return file;
}

PixelPoint center_of(const Mark& mark) {
  return std::get<Circle>(mark.shape).center;
}

/// A lug as a camera sees it: a palm with a nut on it, and the cable that leaves it.
void add_lug(cv::Mat& image, PixelPoint at, double radius, double way, double rise_k) {
  const PixelPoint end{at.x + 400 * std::cos(way), at.y + 400 * std::sin(way)};
  cv::Mat cable = cv::Mat::zeros(image.size(), CV_32F);
  cv::line(cable, cv::Point(cvRound(at.x), cvRound(at.y)),
           cv::Point(cvRound(end.x), cvRound(end.y)), 1, std::max(1, cvRound(1.1 * radius)));
  cv::GaussianBlur(cable, cable, {}, 0.8);
  cv::Mat palm = cv::Mat::zeros(image.size(), CV_32F);
  add_disc(palm, at, radius, 1);
  image += 0.4 * rise_k * cable.mul(1 - palm) + rise_k * palm;
  add_disc(image, at, 0.5 * radius, -0.3 * rise_k);
}

/// Three places about the middle of a picture of 320 × 240, 62 pixels apart, that turn by `bend`.
std::array<PixelPoint, 3> bent(double turn, double bend) {
  const auto step = [](const PixelPoint& from, double way) {
    return PixelPoint{from.x + 62 * std::cos(way), from.y + 62 * std::sin(way)};
  };
  const PixelPoint middle{160, 120};
  return {step(middle, turn + CV_PI - bend / 2), middle, step(middle, turn + bend / 2)};
}

/// Where the cable of one of them leaves to: all the same way, from a triangle away from its
/// middle.
double outward(const std::array<PixelPoint, 3>& places, std::size_t i, double turn, double bend) {
  if (bend < 2) return turn - CV_PI / 2;
  const double x = (places[0].x + places[1].x + places[2].x) / 3;
  const double y = (places[0].y + places[1].y + places[2].y) / 3;
  return std::atan2(places.at(i).y - y, places.at(i).x - x);
}

/// Whether each of three places has a lug's mark that near.
bool all_within(const Proposal& proposal, const std::array<PixelPoint, 3>& places, double reach) {
  return std::all_of(places.begin(), places.end(), [&](const PixelPoint& place) {
    return std::any_of(proposal.marks.begin(), proposal.marks.end(), [&](const Mark& mark) {
      if (mark.role != MarkRole::lug) return false;
      const PixelPoint at = center_of(mark);
      return std::hypot(at.x - place.x, at.y - place.y) <= reach;
    });
  });
}

Result<Proposal> find_lugs(const cv::Mat& image, const PhaseNames& names) {
  return marking::find_lugs(image, names, sight::sight());
}

Result<marking::Sight> open_sight() {
  return sight::sight();
}

Error no_proposal(const Result<Proposal>& proposal) {
  REQUIRE_FALSE(proposal.has_value());
  CHECK(proposal.error().kind == ErrorKind::not_measurable);
  CHECK(proposal.error().what.starts_with("no proposal: "));
  return proposal.error();
}

}  // namespace

TEST_CASE("a known movement is found again within half a pixel") {
  const cv::Mat from = scene(1);
  const auto [right, down] = GENERATE(table<double, double>(
      {{0, 0}, {7, -4}, {-12.4, 9.3}, {3.5, 2.25}, {-20.75, -15.6}, {0.3, 0.6}}));
  const auto found = marking::movement(from, moved(from, right, down));
  REQUIRE(found);
  CAPTURE(right, down, found->right_px, found->down_px, found->likeness);
  CHECK(std::abs(found->right_px - right) < 0.5);
  CHECK(std::abs(found->down_px - down) < 0.5);
  CHECK(found->likeness > 0.7);
}

TEST_CASE("a movement is found whatever the warmth of the scene, and with lugs that have changed") {
  const auto found = marking::movement(scene(1, {9, 40, 10}), moved(scene(2) * 0.5F + 14, 6, -5));
  REQUIRE(found);
  CAPTURE(found->right_px, found->down_px, found->likeness);
  CHECK(std::abs(found->right_px - 6) < 0.5);
  CHECK(std::abs(found->down_px + 5) < 0.5);
  CHECK(found->likeness > marking::kLeastLikeness);
}

TEST_CASE("three like lugs are not taken for their neighbours") {
  // A shift by one lug's spacing fits two of three lugs: the true, smaller one must win, or none.
  for (const double right : {-20.0, -8.0, 5.0, 25.0}) {
    const auto found =
        marking::movement(scene(1, {10, 10, 10}), moved(scene(2, {10, 10, 30}), right, 3));
    CAPTURE(right);
    if (found) CHECK(std::abs(found->right_px - right) < 0.5);
  }
  cv::Mat bare = plain({240, 180}, 1);
  for (int i = 0; i < 6; ++i) add_disc(bare, {20.0 + 40 * i, 90}, 10, 10);
  const auto lattice = marking::movement(bare, moved(bare, 40, 0));
  CHECK((!lattice || std::abs(lattice->right_px - 40) < 0.5));
}

TEST_CASE("marks move along with the scene and keep what they say") {
  marking::MarkedImage older{scene(1), marks_of_scene()};
  older.marks.marks[1].emissivity = Emissivity{0.3};
  const auto carried = marking::carry_marks(moved(scene(2), -9, 6), older);
  if (!carried) FAIL(sentence(carried.error()));
  REQUIRE(carried->marks.size() == 3);
  for (std::size_t i = 0; i < 3; ++i) {
    const Mark& mark = carried->marks[i];
    CHECK(std::abs(center_of(mark).x - (60.0 * static_cast<double>(i + 1) - 9)) <= 1);
    CHECK(std::abs(center_of(mark).y - 86) <= 1);
    CHECK(mark.phase == kPhases.at(i));
    CHECK(mark.origin == MarkOrigin::carried);
    CHECK(mark.carried_from == "older.tif");
    CHECK(mark.confidence.value_or(0) >= marking::kLeastLikeness);
  }
  CHECK(carried->marks[1].emissivity == Emissivity{0.3});
}

TEST_CASE("marks are not carried onto another scene or out of the picture") {
  const marking::MarkedImage older{scene(1), marks_of_scene()};
  cv::Mat other = plain({240, 180}, 3);
  add_disc(other, {40, 40}, 20, 6);
  add_disc(other, {150, 130}, 9, 4);
  other.rowRange(100, 110) += 3;
  CHECK(no_proposal(marking::carry_marks(other, older)).what.find("unlike") != std::string::npos);
  no_proposal(marking::carry_marks(plain({240, 180}, 4), older));
  const auto cut = marking::carry_marks(moved(scene(1), -60, 0), older);
  REQUIRE(cut);
  CHECK(cut->marks.size() == 2);
  CHECK(cut->note.find("left out: T1;") != std::string::npos);
}

TEST_CASE("marks are carried onto a part of the picture, which is of another size") {
  const auto carried =
      marking::carry_marks(scene(1)(cv::Rect(0, 0, 200, 150)), {scene(1), marks_of_scene()});
  if (!carried) FAIL(sentence(carried.error()));
  REQUIRE(carried->marks.size() == 3);
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(std::abs(center_of(carried->marks[i]).x - 60.0 * static_cast<double>(i + 1)) <= 1);
    CHECK(std::abs(center_of(carried->marks[i]).y - 80) <= 1);
  }
}

TEST_CASE("three like spots in a row are proposed from the left, in a column from the top") {
  const bool row = GENERATE(true, false);
  cv::Mat image = scene(5);
  if (!row) image = cv::Mat(image.t());
  const auto proposal = find_lugs(image, {"U", "V", "W"});
  if (!proposal) FAIL(sentence(proposal.error()));
  REQUIRE(proposal->marks.size() >= 3);
  for (std::size_t i = 0; i < 3; ++i) {
    const Mark& mark = proposal->marks[i];
    const double far = 60.0 * static_cast<double>(i + 1);
    CHECK(std::abs(center_of(mark).x - (row ? far : 80)) <= 1.5);
    CHECK(std::abs(center_of(mark).y - (row ? 80 : far)) <= 1.5);
    CHECK(std::get<Circle>(mark.shape).radius < 12);
    CHECK(mark.phase == kPhases.at(i));
    CHECK(mark.name == std::vector<std::string>{"U", "V", "W"}[i]);
    CHECK(mark.origin == MarkOrigin::proposed);
  }
  CHECK(proposal->confidence > 0.5);
  CHECK(proposal->note.find(row ? "left" : "top") != std::string::npos);
}

TEST_CASE("pixels without data and a large picture change nothing about it") {
  cv::Mat image = scene(6);
  image(cv::Rect(112, 78, 5, 2)).setTo(std::numeric_limits<float>::quiet_NaN());
  CHECK(find_lugs(image, default_phase_names()));
  cv::Mat large;
  cv::resize(scene(6), large, {960, 720}, 0, 0, cv::INTER_CUBIC);
  const auto proposal = find_lugs(large, default_phase_names());
  REQUIRE(proposal);
  CHECK(std::abs(center_of(proposal->marks[1]).x - 480) < 6);
}

TEST_CASE("a plain picture, noise alone and a slope give no proposal") {
  no_proposal(find_lugs(cv::Mat(180, 240, CV_32F, cv::Scalar(20)), {"A", "B", "C"}));
  int proposed = 0;
  for (int seed = 0; seed < 60; ++seed) {
    for (const double noise_k : {0.05, 1.0, 5.0}) {
      if (find_lugs(plain({160, 120}, seed, noise_k), {"A", "B", "C"})) ++proposed;
    }
  }
  CHECK(proposed == 0);
  cv::Mat slope = plain({160, 120}, 1);
  for (int y = 0; y < slope.rows; ++y) slope.row(y) += 0.1 * y;
  no_proposal(find_lugs(slope, {"A", "B", "C"}));
  no_proposal(
      find_lugs(cv::Mat(180, 240, CV_32F, cv::Scalar(std::numeric_limits<float>::quiet_NaN())),
                {"A", "B", "C"}));
}

TEST_CASE("two, uneven or unlike spots, and two rows of the same kind, give no proposal") {
  cv::Mat two = plain({240, 180}, 7);
  add_disc(two, {60, 80}, 12, 10);
  add_disc(two, {120, 80}, 12, 10);
  no_proposal(find_lugs(two, {"A", "B", "C"}));
  cv::Mat uneven = two.clone();
  add_disc(uneven, {220, 80}, 12, 10);
  no_proposal(find_lugs(uneven, {"A", "B", "C"}));
  cv::Mat unlike = two.clone();
  add_disc(unlike, {180, 80}, 27, 10);
  no_proposal(find_lugs(unlike, {"A", "B", "C"}));
  cv::Mat rows = scene(8);
  for (int i = 0; i < 3; ++i) add_disc(rows, {60.0 + 60 * i, 140}, 12, 10);
  CHECK(no_proposal(find_lugs(rows, {"A", "B", "C"})).what.find("more than one row") !=
        std::string::npos);
}

TEST_CASE(
    "lugs on an arc, in a triangle or in a slanted row are found, their order said to be guessed") {
  const double turn = GENERATE(0.0, 0.6, 1.2, 2.5, 4.0, 5.3);
  const auto [kind, bend] = GENERATE(
      table<std::string, double>({{"row", 0.0}, {"arc", 0.8}, {"triangle", 2 * CV_PI / 3}}));
  const std::array<PixelPoint, 3> places = bent(turn, bend);
  cv::Mat image = plain({320, 240}, 11);
  for (std::size_t i = 0; i < 3; ++i) {
    add_lug(image, places.at(i), 13, outward(places, i, turn, bend), std::array{7, 9, 8}.at(i));
  }
  const auto proposal = find_lugs(image, default_phase_names());
  CAPTURE(turn, kind);
  if (!proposal) FAIL(sentence(proposal.error()));
  CHECK(all_within(*proposal, places, 0.25 * 13));
  const bool slanted = kind != "row" || std::abs(std::sin(2 * turn)) > 0.8;
  if (slanted) CHECK(proposal->note.find("a guess") != std::string::npos);
  if (kind == "triangle") CHECK(proposal->reason.find("triangle") != std::string::npos);
  if (kind == "arc") CHECK(proposal->reason.find("arc") != std::string::npos);
}

TEST_CASE("lugs of 4 to 26 percent of the short side are found within a quarter of their radius") {
  const double radius = GENERATE(5.0, 8.0, 13.0, 20.0, 31.0);
  cv::Mat image = plain({320, 240}, 12);
  const double spacing = std::min(100.0, 5 * radius);
  const std::array<PixelPoint, 3> places{{{160 - spacing, 100}, {160, 101}, {160 + spacing, 99}}};
  for (const PixelPoint& place : places) add_lug(image, place, radius, CV_PI / 2, 8);
  const auto proposal = find_lugs(image, default_phase_names());
  CAPTURE(radius);
  if (!proposal) FAIL(sentence(proposal.error()));
  CHECK(all_within(*proposal, places, 0.25 * radius));
}

TEST_CASE("a middle lug off the midpoint is found, and one that is hot beside two cool ones") {
  const double off = GENERATE(-0.12, -0.08, 0.0, 0.08, 0.12);  // of the spacing
  const double rise_k = GENERATE(8, 30);
  cv::Mat image = plain({320, 240}, 13);
  const std::array<PixelPoint, 3> places{{{80, 120}, {160 + 80 * off, 120}, {240, 120}}};
  for (std::size_t i = 0; i < 3; ++i) {
    add_lug(image, places.at(i), 13, -CV_PI / 2, i == 1 ? rise_k : 8);
  }
  const auto proposal = find_lugs(image, default_phase_names());
  CAPTURE(off, rise_k);
  if (!proposal) FAIL(sentence(proposal.error()));
  CHECK(all_within(*proposal, places, 0.25 * 13));
}

TEST_CASE("cold lugs are found by their shape, one of them behind a wire") {
  const double rise_k = GENERATE(-1.5, 1.2);
  const bool covered = GENERATE(false, true);
  cv::Mat image = plain({320, 240}, 14);
  const std::array<PixelPoint, 3> places{{{80, 90}, {160, 92}, {240, 91}}};
  for (const PixelPoint& place : places) add_lug(image, place, 14, CV_PI / 2, rise_k);
  if (covered) {
    cv::line(image, {20, 31}, {300, 131}, 23.4, 6, cv::LINE_AA);
  }
  const auto proposal = find_lugs(image, default_phase_names());
  CAPTURE(rise_k, covered);
  if (!proposal) FAIL(sentence(proposal.error()));
  CHECK(all_within(*proposal, places, (covered ? 0.5 : 0.25) * 14));
}

TEST_CASE("two lugs are proposed, and said to be two, where the third is out of the frame") {
  const bool first = GENERATE(false, true);  // whether the first is out, else the last
  cv::Mat image = plain({320, 240}, 15);
  const double shift = first ? -105 : 105;
  for (int i = 0; i < 3; ++i) {
    add_lug(image, {160 + shift + 85.0 * (i - 1), 110}, 14, CV_PI / 2, 8);
  }
  const auto proposal = find_lugs(image, {"U", "V", "W"});
  CAPTURE(first);
  if (!proposal) FAIL(sentence(proposal.error()));
  REQUIRE(proposal->marks.size() >= 2);
  CHECK(proposal->reason.find("two like spots") != std::string::npos);
  CHECK(proposal->reason.find("out of the frame") != std::string::npos);
  const std::size_t from = first ? 1 : 0;
  for (std::size_t i = 0; i < 2; ++i) {
    const double x = 160 + shift + 85.0 * (static_cast<double>(i + from) - 1);
    CHECK(std::abs(center_of(proposal->marks[i]).x - x) < 0.25 * 14);
    CHECK(proposal->marks[i].role == MarkRole::lug);
    CHECK(proposal->marks[i].phase == kPhases.at(i + from));
  }
  CHECK((proposal->marks.size() == 2 || proposal->marks[2].role == MarkRole::ambient));
}

TEST_CASE("rows that go on, grids of holes and pipes side by side give no proposal") {
  cv::Mat lamps = plain({320, 240}, 16);
  for (int i = 0; i < 5; ++i) add_disc(lamps, {40.0 + 60 * i, 60}, 9, 20);
  no_proposal(find_lugs(lamps, default_phase_names()));
  cv::Mat tray = plain({320, 240}, 17);
  for (int y = 20; y < 240; y += 40) {
    for (int x = 20; x < 320; x += 40) add_disc(tray, {x + 0.0, y + 0.0}, 6, -2);
  }
  no_proposal(find_lugs(tray, default_phase_names()));
  cv::Mat pipes = plain({320, 240}, 18);
  for (int i = 0; i < 3; ++i) pipes.colRange(60 + 80 * i, 84 + 80 * i) += 12;
  no_proposal(find_lugs(pipes, default_phase_names()));
}

TEST_CASE("the same picture turned by quarters gives the same lugs") {
  cv::Mat image = scene(19);
  const auto upright = find_lugs(image, default_phase_names());
  REQUIRE(upright);
  cv::Mat turned;
  cv::rotate(image, turned, cv::ROTATE_180);
  const auto upside_down = find_lugs(turned, default_phase_names());
  REQUIRE(upside_down);
  for (std::size_t i = 0; i < 3; ++i) {
    const PixelPoint was = center_of(upright->marks[i]);
    const PixelPoint is = center_of(upside_down->marks[2 - i]);
    CHECK(std::abs(image.cols - 1 - was.x - is.x) <= 1);
    CHECK(std::abs(image.rows - 1 - was.y - is.y) <= 1);
  }
}

TEST_CASE("a marked image of the same place is preferred to what the picture shows") {
  const std::vector<marking::MarkedImage> same{{scene(1), marks_of_scene()}};
  const auto proposal =
      marking::propose(moved(scene(2), 5, 5), same, default_phase_names(), open_sight);
  REQUIRE(proposal);
  CHECK(proposal->marks[0].origin == MarkOrigin::carried);
  const std::vector<marking::MarkedImage> other{{plain({240, 180}, 1), marks_of_scene()}};
  const auto own = marking::propose(scene(2), other, default_phase_names(), open_sight);
  REQUIRE(own);
  CHECK(own->marks[0].origin == MarkOrigin::proposed);
}
