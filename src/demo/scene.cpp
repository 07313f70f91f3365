#include "scene.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::demo {
namespace {

constexpr double kCableEmissivity = 0.93;  // PVC jacket: 0.91-0.95 in handbook tables (from memory)
constexpr double kWallEmissivity = 0.90;   // painted sheet: 0.90-0.97 (from memory)
constexpr double kFoilEmissivity = 0.03;   // crumpled aluminium foil (from memory)
constexpr double kWallGradient_k = 0.8;    // bottom to top of the enclosure
constexpr double kBodyRise_k = 3.0;        // the device that the lugs belong to, when it runs

/// 0 in the middle, 1 on the rim of a square with well-rounded corners.
double rounded_square(double dx, double dy) {
  return std::sqrt(std::hypot(dx * dx, dy * dy));
}

void paint_wall(Surfaces& to, const Shot& shot, double warmed) {
  const int height = to.celsius.rows;
  for (int y = 0; y < height; ++y) {
    to.celsius.row(y).setTo(shot.air_c + kWallGradient_k * (0.5 - y / (height - 1.0)));
  }
  to.emissivity.setTo(kWallEmissivity);
  const cv::Rect body(0, height * 9 / 10, to.celsius.cols, height - height * 9 / 10);
  to.celsius(body) += kBodyRise_k * warmed;
}

/// A lug and the two conductors that leave it upwards and downwards, cooling like long fins.
void paint_lug(Surfaces& to, const Picture& picture, const Lug& lug, double air_c, double warmed) {
  const double lug_c = air_c + warmed * (lug.temperature_c - air_c);
  const double cable_c = air_c + warmed * (lug.cable_c - air_c);
  for (int y = 0; y < picture.size.height; ++y) {
    for (int x = 0; x < picture.size.width; ++x) {
      const double dx = (x - lug.center.x) / lug.half_side_px;
      const double dy = (y - lug.center.y) / lug.half_side_px;
      const double from_center = rounded_square(dx, dy);
      if (from_center <= 1) {
        to.celsius.at<double>(y, x) = lug_c - kCrown_k * warmed * from_center * from_center;
        to.emissivity.at<double>(y, x) = lug.emissivity;
      } else if (std::abs(x - lug.center.x) <= picture.cable_px / 2) {
        const double along_px = (std::abs(dy) - 1) * lug.half_side_px;
        const double share = std::exp(-std::max(along_px, 0.0) / picture.fin_length_px);
        to.celsius.at<double>(y, x) = cable_c + (lug_c - cable_c) * share;
        to.emissivity.at<double>(y, x) = kCableEmissivity;
      }
    }
  }
}

void paint_patch(Surfaces& to, const cv::Rect& patch, const Shot& shot) {
  to.celsius(patch).setTo(shot.air_c);
  to.emissivity(patch).setTo(shot.patch == Patch::reflector ? kFoilEmissivity : shot.emissivity);
}

double half_steps(double x) {
  return std::round(2 * x) / 2;
}

PixelPoint mark_center(const Lug& lug) {
  return {half_steps(lug.center.x), half_steps(lug.center.y)};
}

/// Shapes change from lug to lug; all stay well inside the lug.
Shape mark_shape(const Lug& lug, std::size_t index) {
  const PixelPoint c = mark_center(lug);
  const double r = half_steps(0.55 * lug.half_side_px);
  switch (index % 3) {
    case 0:
      return Circle{c, r};
    case 1:
      return Rectangle{{c.x - r, c.y - r}, {2 * r, 2 * r}};
    default:
      return Polygon{{{c.x, c.y - r}, {c.x + r, c.y}, {c.x, c.y + r}, {c.x - r, c.y}}};
  }
}

Mark patch_mark(const cv::Rect& patch, const Shot& shot) {
  constexpr int kMargin = 3;  // clear of the optical blur
  Mark mark;
  const bool reflector = shot.patch == Patch::reflector;
  mark.name = reflector ? "foil" : "wall patch";
  mark.role = reflector ? MarkRole::reflector : MarkRole::ambient;
  mark.shape = Rectangle{{patch.x + kMargin + 0.0, patch.y + kMargin + 0.0},
                         {patch.width - 1.0 - 2 * kMargin, patch.height - 1.0 - 2 * kMargin}};
  if (!reflector) mark.emissivity = Emissivity{shot.emissivity};
  mark.material = reflector ? "crumpled aluminium foil" : "electrical tape";
  mark.origin = MarkOrigin::hand;
  return mark;
}

}  // namespace

Picture compose(const MotorStory& motor, const Shot& shot, Noise& noise) {
  const Conductor& conductor = conductor_of(motor.conductor_mm2);
  Picture picture;
  picture.size = cv::Size(shot.frame.width, shot.frame.height);
  picture.metre_per_px = shot.frame.ifov_mrad * 1e-3 * shot.distance_m;
  picture.cable_px = conductor.outer_diameter_mm * 1e-3 / picture.metre_per_px;
  const double width = shot.frame.width;
  const double height = shot.frame.height;
  // Nobody holds the camera twice in the same place.
  const double shift_x = 0.03 * width * (2 * noise.uniform() - 1);
  const double shift_y = 0.03 * height * (2 * noise.uniform() - 1);

  const auto shown = 3 - std::count(shot.lug_names.begin(), shot.lug_names.end(), "");
  for (std::size_t i = 0; i < 3; ++i) {
    if (shot.lug_names.at(i).empty()) continue;
    // Lug i carries the marking of phase i + 1; behind it lies the circuit's conductor.
    const auto at = std::find(motor.marked_as.begin(), motor.marked_as.end(), kPhases.at(i));
    const Phase circuit = kPhases.at(static_cast<std::size_t>(at - motor.marked_as.begin()));
    const LugHeat heat = heat_up(conductor, Ampere{motor.current_a.at(index_of(circuit))},
                                 joint_resistance(motor, shot.place, circuit), shot.film_w_m2_k);
    picture.fin_length_px = heat.fin_length.value() / picture.metre_per_px;
    Lug lug;
    lug.name = shot.lug_names.at(i);
    lug.phase = kPhases.at(i);
    lug.center = {width * (shown == 1 ? 0.5 : 0.25 * static_cast<double>(i + 1)) + shift_x,
                  0.45 * height + shift_y};
    lug.half_side_px = std::sqrt(conductor.lug_area_cm2) * 0.01 / picture.metre_per_px / 2;
    lug.temperature_c = shot.air_c + heat.lug.value();
    lug.cable_c = shot.air_c + heat.cable.value();
    const bool bare = shot.bare_lug && shot.bare_lug->index == i;
    lug.emissivity = bare ? shot.bare_lug->emissivity : shot.emissivity;
    picture.lugs.push_back(std::move(lug));
  }
  if (shot.patch != Patch::none) {
    picture.patch = cv::Rect(cvRound(0.02 * width), cvRound(0.62 * height), cvRound(0.11 * width),
                             cvRound(0.16 * height));
  }
  return picture;
}

Surfaces paint(const Picture& picture, const Shot& shot, double warmed) {
  Surfaces surfaces{cv::Mat(picture.size, CV_64F), cv::Mat(picture.size, CV_64F)};
  paint_wall(surfaces, shot, warmed);
  for (const Lug& lug : picture.lugs) paint_lug(surfaces, picture, lug, shot.air_c, warmed);
  if (picture.patch) paint_patch(surfaces, *picture.patch, shot);
  return surfaces;
}

MarkFile mark(const Picture& picture, const Shot& shot, const std::string& image) {
  MarkFile file{image, picture.size.width, picture.size.height, {}};
  for (std::size_t i = 0; i < picture.lugs.size(); ++i) {
    const Lug& lug = picture.lugs[i];
    const bool bare = lug.emissivity != shot.emissivity;
    Mark mark;
    mark.name = lug.name;
    mark.role = MarkRole::lug;
    mark.phase = lug.phase;
    mark.shape = mark_shape(lug, i);
    if (shot.tiny_mark == i) mark.shape = Circle{mark_center(lug), 1.0};
    // Of the others the image's row says how they are taped.
    if (bare) {
      mark.emissivity = Emissivity{lug.emissivity};
      mark.material = "copper_tarnished";
    }
    mark.origin = MarkOrigin::hand;
    file.marks.push_back(std::move(mark));
  }
  if (picture.patch) file.marks.push_back(patch_mark(*picture.patch, shot));
  return file;
}

}  // namespace ohmglow::demo
