// A box is drawn once, with three lugs and what else is in it, and seen by two cameras through
// known maps (cv::warpPerspective, which is not what finds them again).
#include "offered/marking/proposing.h"

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

using namespace ohmglow;

namespace {

constexpr double kLug_px = 16;
const std::array<cv::Point2d, 3> kLugs{{{200, 230}, {316, 214}, {430, 236}}};

/// 640 × 480, with each lug's rise, and the box's own over the wall.
cv::Mat box_picture(std::array<double, 3> rises_k, double box_k = 3, int shifted = 0) {
  cv::Mat image(480, 640, CV_32F, cv::Scalar(21));
  cv::rectangle(image, {90, 70}, {560, 420}, 21 + box_k, -1);
  cv::rectangle(image, {420 - shifted, 330 - shifted}, {520, 380}, 22 + box_k, -1);
  cv::circle(image, {130 + shifted, 380}, 14, 19, -1);
  cv::circle(image, {520, 110 + 2 * shifted}, 10, 18.5, -1);
  cv::line(image, {100, 90}, {260 + shifted, 140 + shifted}, 24.5 + box_k, 7);
  for (std::size_t i = 0; i < 3; ++i) {
    const cv::Point at(kLugs[i]);
    const double lug_c = 21 + box_k + rises_k.at(i);
    cv::line(image, at, {at.x + 30 - 25 * static_cast<int>(i), 479}, (lug_c + 24) / 2, 13);
    cv::circle(image, at, 20, lug_c, -1);
    cv::circle(image, at, 6, lug_c - 0.3 * rises_k.at(i), -1);
  }
  return image;
}

/// The picture through a map, at another size, with the camera's blur and noise.
cv::Mat seen(const cv::Mat& box, const cv::Matx33d& map, cv::Size size = {640, 480}, int seed = 1) {
  const double s = size.width / 640.0;
  const cv::Matx33d small(s, 0, (s - 1) / 2, 0, s, (s - 1) / 2, 0, 0, 1);
  cv::Mat soft;
  cv::GaussianBlur(box, soft, {}, std::max(0.8, 0.5 / s));
  cv::Mat image;
  cv::warpPerspective(soft, image, small * map, size, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  cv::Mat noise(image.size(), CV_32F);
  cv::RNG random(static_cast<std::uint64_t>(seed));
  random.fill(noise, cv::RNG::NORMAL, 0.0, 0.05);
  return image + noise;
}

cv::Matx33d about_middle(double scale, double turn_deg, double right = 0, double down = 0) {
  const double c = scale * std::cos(turn_deg * CV_PI / 180);
  const double s = scale * std::sin(turn_deg * CV_PI / 180);
  const double x = 319.5;
  const double y = 239.5;
  return {c, -s, x + right - c * x + s * y, s, c, y + down - s * x - c * y, 0, 0, 1};
}

Mark circle_mark(Phase phase) {
  const cv::Point2d at = kLugs.at(index_of(phase));
  Mark mark;
  mark.name = "T" + std::to_string(number_of(phase));
  mark.phase = phase;
  mark.shape = Circle{{at.x, at.y}, kLug_px};
  return mark;
}

marking::MarkedImage marked_box(std::array<double, 3> rises_k = {9, 12, 10}) {
  marking::MarkedImage marked{seen(box_picture(rises_k), cv::Matx33d::eye()),
                              {"march.tif", 640, 480, {}}};
  for (const Phase phase : kPhases) marked.marks.marks.push_back(circle_mark(phase));
  return marked;
}

/// All lugs within half a radius of where the map puts them, times `to_size` for the resolution.
void check_lugs(const marking::Proposal& proposal, const cv::Matx33d& map, double to_size = 1) {
  REQUIRE(proposal.marks.size() >= 3);
  for (std::size_t i = 0; i < 3; ++i) {
    const cv::Vec3d there = map * cv::Vec3d(kLugs[i].x, kLugs[i].y, 1);
    const auto& circle = std::get<Circle>(proposal.marks[i].shape);
    const double x = (there[0] / there[2] + 0.5) * to_size - 0.5;
    const double y = (there[1] / there[2] + 0.5) * to_size - 0.5;
    CAPTURE(i, x, y, circle.center.x, circle.center.y, circle.radius, proposal.reason);
    CHECK(std::hypot(circle.center.x - x, circle.center.y - y) < 0.5 * circle.radius);
    CHECK(proposal.marks[i].phase == kPhases.at(i));
  }
}

marking::Proposal carried(const cv::Mat& picture, const marking::MarkedImage& marked) {
  auto proposal = marking::carry_marks(picture, marked);
  if (!proposal) FAIL(sentence(proposal.error()));
  return *proposal;
}

}  // namespace

TEST_CASE("marks follow a picture that is turned, nearer, farther or seen from another side") {
  cv::Matx33d map = GENERATE(about_middle(1, 19, 10, -8), about_middle(0.72, -6, 5, 9),
                             about_middle(1.38, 4), about_middle(1.05, 3, -30, 20));
  map(2, 0) = GENERATE(0.0, 1.2e-4);
  const auto proposal = carried(seen(box_picture({8, 9, 14}), map, {640, 480}, 2), marked_box());
  check_lugs(proposal, map);
  CHECK(proposal.confidence > 0.9);
}

TEST_CASE("a circle's radius follows the scale") {
  const auto proposal =
      carried(seen(box_picture({8, 9, 14}), about_middle(1.25, 0), {640, 480}, 2), marked_box());
  CHECK(std::get<Circle>(proposal.marks[0].shape).radius == Approx(1.25 * kLug_px).epsilon(0.03));
}

TEST_CASE("a half turn is followed to the same lugs and said") {
  const cv::Matx33d map = about_middle(1.03, 177, 6, 4);
  const auto proposal = carried(seen(box_picture({8, 9, 14}), map, {640, 480}, 2), marked_box());
  check_lugs(proposal, map);
  CHECK(proposal.reason.find("half a turn") != std::string::npos);
  CHECK(proposal.note.find("half a turn") != std::string::npos);
  const auto upright =
      carried(seen(box_picture({8, 9, 14}), about_middle(1.03, -3), {640, 480}, 2), marked_box());
  CHECK(upright.note.find("half a turn") == std::string::npos);
}

TEST_CASE("marks are carried between resolutions") {
  const auto size = GENERATE(cv::Size(160, 120), cv::Size(320, 240));
  const cv::Matx33d map = about_middle(0.97, 2, 8, 3);
  const auto proposal = carried(seen(box_picture({8, 9, 14}), map, size, 2), marked_box());
  check_lugs(proposal, map, size.width / 640.0);
}

TEST_CASE("marks made on a picture of another size are carried where the aspect is the same") {
  marking::MarkedImage marked = marked_box();
  cv::resize(marked.celsius, marked.celsius, {320, 240}, 0, 0, cv::INTER_AREA);
  const cv::Matx33d map = about_middle(1, 0, 12, 5);
  const cv::Mat picture = seen(box_picture({8, 9, 14}), map, {640, 480}, 2);
  check_lugs(carried(picture, marked), map);
  marked.marks.width = 600;
  CHECK_FALSE(marking::carry_marks(picture, marked));
}

TEST_CASE("lugs that were warm and are cold now do not mislead") {
  const cv::Matx33d map = about_middle(1.04, -4, 12, -9);
  check_lugs(carried(seen(box_picture({-6, -5, -7}, -2), map, {640, 480}, 2), marked_box()), map);
  check_lugs(carried(seen(box_picture({60, 2, 1}), map, {640, 480}, 2), marked_box()), map);
}

TEST_CASE("a mark outside the picture is left out alone and named") {
  marking::MarkedImage marked = marked_box();
  Mark air;
  air.name = "air patch";
  air.role = MarkRole::ambient;
  air.shape = Rectangle{{4, 200}, {30, 30}};
  marked.marks.marks.push_back(air);
  const cv::Matx33d a_little = about_middle(1, 0, -40, 0);
  const auto without_air = carried(seen(box_picture({8, 9, 14}), a_little, {640, 480}, 2), marked);
  CHECK(without_air.marks.size() == 3);
  check_lugs(without_air, a_little);
  CHECK(without_air.note.find("left out: air patch;") != std::string::npos);
  const auto two =
      carried(seen(box_picture({8, 9, 14}), about_middle(1, 0, -195, 0), {640, 480}, 2), marked);
  REQUIRE(two.marks.size() == 2);
  CHECK(two.marks[0].name == "T2");
  CHECK(two.marks[1].name == "T3");
  CHECK(two.note.find("left out: T1, air patch;") != std::string::npos);
}

TEST_CASE("rectangles stay upright until they are turned; polygons go by their points") {
  marking::MarkedImage marked = marked_box();
  marked.marks.marks[0].shape = Rectangle{{184, 214}, {32, 32}};
  marked.marks.marks[1].shape = Polygon{{{300, 198}, {332, 198}, {316, 230}}};
  const auto shifted =
      carried(seen(box_picture({8, 9, 14}), about_middle(1, 0, 20, 10), {640, 480}, 2), marked);
  const auto* upright = std::get_if<Rectangle>(&shifted.marks[0].shape);
  REQUIRE(upright != nullptr);
  CHECK(std::abs(upright->corner.x - 204) <= 2);
  CHECK(std::abs(upright->size.x - 32) <= 1);
  const cv::Matx33d map = about_middle(1, 15);
  const auto turned = carried(seen(box_picture({8, 9, 14}), map, {640, 480}, 2), marked);
  const auto* corners = std::get_if<Polygon>(&turned.marks[0].shape);
  REQUIRE(corners != nullptr);
  CHECK(corners->points.size() == 4);
  const cv::Vec3d first = map * cv::Vec3d(184, 214, 1);
  CHECK(std::hypot(corners->points[0].x - first[0], corners->points[0].y - first[1]) < 4);
  CHECK(std::get<Polygon>(turned.marks[1].shape).points.size() == 3);
}

TEST_CASE("another box with three lugs in the same row gives no proposal") {
  cv::Mat other(480, 640, CV_32F, cv::Scalar(21));
  cv::rectangle(other, {30, 150}, {630, 470}, 26, -1);
  for (int i = 0; i < 3; ++i) {
    cv::circle(other, {180 + 140 * i, 260}, 26, 38, -1);
    cv::line(other, {180 + 140 * i, 260}, {320, 10}, 32, 16);
  }
  cv::rectangle(other, {60, 380}, {180, 440}, 22, -1);
  CHECK_FALSE(marking::carry_marks(seen(other, cv::Matx33d::eye()), marked_box()));
}

TEST_CASE("the surest of several marked images is carried from") {
  const cv::Matx33d map = about_middle(1, 2, 5, 5);
  const cv::Mat picture = seen(box_picture({8, 9, 14}), map, {640, 480}, 2);
  marking::MarkedImage worse = marked_box();
  cv::Mat noise(worse.celsius.size(), CV_32F);
  cv::RNG random(7);
  random.fill(noise, cv::RNG::NORMAL, 0.0, 12.0);
  worse.celsius += noise;
  worse.marks.image = "worse.tif";
  const std::vector<marking::MarkedImage> both{worse, marked_box()};
  const auto proposal = marking::carry_surest(picture, both);
  REQUIRE(proposal);
  CHECK(proposal->marks[0].carried_from == "march.tif");
  check_lugs(*proposal, map);
}
