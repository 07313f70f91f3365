// One image measured: the radiation balance that made it is known, so what comes out must be what
// went in. The balance itself is held against published and independently computed cases in the
// tests of radiometry; here the wiring of a survey's parameters to it is at stake.

#include "offered/assessment/images.h"
#include "ohmglow/radiometry.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <opencv2/core.hpp>
#include <random>

using namespace ohmglow;
using assessment::measure_image;
using diagnosis::Flag;
using diagnosis::ImageStatus;

namespace {

/// Stored pixels are 32-bit floats near 300 K; low emissivity and windows amplify their rounding.
constexpr double kFloatRounding_k = 2e-3;

constexpr int kWidth = 64;
constexpr int kHeight = 48;

struct Patch {
  cv::Rect where;
  Celsius object;
  Emissivity emissivity;
};

const cv::Rect kFirst(4, 4, 11, 11);
const cv::Rect kSecond(24, 4, 11, 11);
const cv::Rect kThird(44, 4, 11, 11);
const cv::Rect kPatch(4, 30, 11, 11);

/// What a camera stores of flat patches: received radiance as apparent temperature, then corrected
/// with the saved emissivity as cameras do.
imaging::ThermalImage photograph(radiometry::Scene scene, const radiometry::SavedAs& saved,
                                 const std::vector<Patch>& patches) {
  const auto& band = radiometry::long_wave();
  cv::Mat pixels(kHeight, kWidth, CV_32F, cv::Scalar(scene.air.value()));
  for (const Patch& patch : patches) {
    scene.emissivity = patch.emissivity;
    const auto received = radiometry::received_radiance(band, patch.object, scene);
    REQUIRE(received);
    const double reflected = band.radiance(saved.reflected)->value();
    const double eps = saved.emissivity.value();
    const auto stored =
        band.temperature(Radiance{(received->value() - (1 - eps) * reflected) / eps});
    REQUIRE(stored);
    pixels(patch.where).setTo(cv::Scalar(stored->value()));
  }
  imaging::StoredImage image;
  image.pixels = pixels;
  image.format = "npy";
  image.dtype = "float32";
  return imaging::ThermalImage(std::move(image),
                               Declaration{1, 0, TemperatureUnit::celsius, "range"});
}

Mark mark_on(const std::string& name, MarkRole role, const cv::Rect& where) {
  Mark mark;
  mark.name = name;
  mark.role = role;
  if (role == MarkRole::lug) mark.phase = phase_from_name(name);
  mark.shape = Rectangle{{where.x + 1.0, where.y + 1.0}, {where.width - 3.0, where.height - 3.0}};
  return mark;
}

MarkFile three_lugs() {
  return {"a.npy",
          kWidth,
          kHeight,
          {mark_on("T1", MarkRole::lug, kFirst), mark_on("T2", MarkRole::lug, kSecond),
           mark_on("T3", MarkRole::lug, kThird)}};
}

ImageEntry entry_with(const ImageParameters& parameters) {
  ImageEntry entry;
  entry.file = "a.npy";
  entry.motor = "BE-1";
  entry.component = "terminal box";
  entry.parameters = parameters;
  return entry;
}

diagnosis::ImageResult measured(const imaging::ThermalImage& image,
                                const ImageParameters& parameters,
                                const MarkFile& marks = three_lugs(),
                                const Motor* motor = nullptr) {
  return measure_image(image, entry_with(parameters), marks, motor, default_phase_names(), 7, 3,
                       radiometry::long_wave());
}

ImageParameters indoors() {
  ImageParameters given;
  given.emissivity = Emissivity{0.95};
  given.reflected_c = Celsius{24};
  given.air_c = Celsius{22};
  return given;
}

radiometry::Scene scene_of(const ImageParameters& given) {
  radiometry::Scene scene;
  scene.air = given.air_c.value_or(Celsius{22});
  scene.reflected = given.reflected_c.value_or(scene.air);
  scene.atmosphere_transmittance = given.atmosphere_transmittance.value_or(Fraction{1});
  scene.window_transmittance = given.window_transmittance.value_or(Fraction{1});
  scene.window_reflectance = given.window_reflectance.value_or(Fraction{0});
  scene.window = given.window_c.value_or(scene.air);
  scene.window_reflected = given.window_reflected_c.value_or(scene.air);
  return scene;
}

std::vector<Patch> lugs_at(double first, double second, double third, double emissivity) {
  return {{kFirst, Celsius{first}, Emissivity{emissivity}},
          {kSecond, Celsius{second}, Emissivity{emissivity}},
          {kThird, Celsius{third}, Emissivity{emissivity}}};
}

}  // namespace

TEST_CASE(
    "lugs come out at the temperatures that the scene was made with, whatever its parameters") {
  std::mt19937 random(11);
  const auto between = [&random](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  for (int i = 0; i < 200; ++i) {
    ImageParameters given;
    given.emissivity = Emissivity{between(0.4, 1.0)};
    given.reflected_c = Celsius{between(-10, 40)};
    given.air_c = Celsius{between(-5, 40)};
    if (i % 2 == 0) given.atmosphere_transmittance = Fraction{between(0.8, 1.0)};
    if (i % 3 == 0) {
      given.window_transmittance = Fraction{between(0.5, 0.9)};
      given.window_reflectance = Fraction{between(0.0, 0.1)};
    }
    if (i % 6 == 0) {
      given.window_c = Celsius{between(10, 40)};
      given.window_reflected_c = Celsius{between(10, 40)};
    }
    radiometry::SavedAs saved;
    if (i % 4 == 0) {
      given.saved_emissivity = Emissivity{between(0.6, 1.0)};
      saved = {*given.saved_emissivity, *given.reflected_c};
      if (i % 8 == 0) {
        given.saved_reflected_c = Celsius{between(0, 40)};
        saved.reflected = *given.saved_reflected_c;
      }
    }
    const auto image =
        photograph(scene_of(given), saved, lugs_at(61, 45, 47, given.emissivity->value()));
    const auto result = measured(image, given);
    INFO(i << " " << (result.problems.empty() ? "" : result.problems.front()));
    REQUIRE(result.status == ImageStatus::measured);
    REQUIRE(result.lugs.size() == 3);
    CHECK(result.lugs[0].temperature_c->value() == Approx(61).epsilon(0).margin(kFloatRounding_k));
    CHECK(result.lugs[1].temperature_c->value() == Approx(45).epsilon(0).margin(kFloatRounding_k));
    CHECK(result.lugs[2].temperature_c->value() == Approx(47).epsilon(0).margin(kFloatRounding_k));
  }
}

TEST_CASE("a 16-bit image gives what the same temperatures give as floats, to its own step") {
  constexpr double kHalfStep_k = 0.005 / 0.8;
  const ImageParameters given = indoors();
  const auto floats = photograph(scene_of(given), {}, lugs_at(61, 45, 47, 0.95));
  imaging::StoredImage counts;
  floats.stored().pixels.convertTo(counts.pixels, CV_16U, 100, 27315);
  counts.format = "tiff";
  counts.dtype = "uint16";
  const imaging::ThermalImage image(counts, {0.01, 0, TemperatureUnit::kelvin, "images.csv"});
  const auto result = measured(image, given);
  CHECK(result.lugs[0].temperature_c->value() == Approx(61).epsilon(0).margin(kHalfStep_k));
  CHECK(result.used->declaration == "0.01 × stored + 0 K, by images.csv");
}

TEST_CASE("a mark's own emissivity counts before the image's") {
  const ImageParameters given = indoors();
  auto patches = lugs_at(61, 45, 47, 0.95);
  patches[0].emissivity = Emissivity{0.6};
  MarkFile marks = three_lugs();
  marks.marks[0].emissivity = Emissivity{0.6};
  const auto result = measured(photograph(scene_of(given), {}, patches), given, marks);
  CHECK(result.lugs[0].temperature_c->value() == Approx(61).epsilon(0).margin(kFloatRounding_k));
  CHECK(result.lugs[0].emissivity.value() == 0.6);
  CHECK(result.lugs[1].temperature_c->value() == Approx(45).epsilon(0).margin(kFloatRounding_k));
}

TEST_CASE("a reflector mark gives the reflected temperature, and counts before the column") {
  ImageParameters given = indoors();
  given.emissivity = Emissivity{0.5};
  auto patches = lugs_at(61, 45, 47, 0.5);
  // ASTM E1862, reflector method: a diffuse reflector shows the reflected apparent temperature
  // itself.
  patches.push_back({kPatch, *given.reflected_c, Emissivity{1}});
  const auto image = photograph(scene_of(given), {}, patches);
  MarkFile marks = three_lugs();
  marks.marks.push_back(mark_on("foil", MarkRole::reflector, kPatch));
  ImageParameters wrong = given;
  wrong.reflected_c = Celsius{80};
  const auto result = measured(image, wrong, marks);
  CHECK(result.lugs[0].temperature_c->value() == Approx(61).epsilon(0).margin(kFloatRounding_k));
  CHECK(result.used->reflected_from == "reflector mark");
  CHECK(*result.used->reflected_c == Approx(24).epsilon(0).margin(kFloatRounding_k));
}

TEST_CASE(
    "an ambient mark gives the air where no column does, and the reflected temperature with it") {
  ImageParameters given;
  given.emissivity = Emissivity{0.9};
  ImageParameters truth = given;
  truth.air_c = Celsius{31};
  truth.window_transmittance = Fraction{0.8};
  given.window_transmittance = truth.window_transmittance;
  auto patches = lugs_at(61, 45, 47, 0.9);
  patches.push_back({kPatch, Celsius{31}, Emissivity{0.9}});
  MarkFile marks = three_lugs();
  marks.marks.push_back(mark_on("wall", MarkRole::ambient, kPatch));
  const auto result = measured(photograph(scene_of(truth), {}, patches), given, marks);
  REQUIRE(result.status == ImageStatus::measured);
  CHECK(result.used->air_c->value() == Approx(31).epsilon(0).margin(kFloatRounding_k));
  CHECK(result.used->air_from == "ambient mark");
  CHECK(result.lugs[0].temperature_c->value() == Approx(61).epsilon(0).margin(kFloatRounding_k));
  CHECK(result.lugs[0].has(Flag::assumed_air));
}

TEST_CASE("ambient and reflector marks together are solved for both temperatures") {
  ImageParameters given;
  given.emissivity = Emissivity{0.7};
  given.atmosphere_transmittance = Fraction{0.85};
  ImageParameters truth = given;
  truth.air_c = Celsius{31};
  truth.reflected_c = Celsius{10};
  auto patches = lugs_at(61, 45, 47, 0.7);
  const cv::Rect foil(24, 30, 11, 11);
  patches.push_back({kPatch, Celsius{31}, Emissivity{0.7}});
  patches.push_back({foil, Celsius{10}, Emissivity{1}});
  MarkFile marks = three_lugs();
  marks.marks.push_back(mark_on("wall", MarkRole::ambient, kPatch));
  marks.marks.push_back(mark_on("foil", MarkRole::reflector, foil));
  const auto result = measured(photograph(scene_of(truth), {}, patches), given, marks);
  CHECK(result.used->air_c->value() == Approx(31).epsilon(0).margin(kFloatRounding_k));
  CHECK(*result.used->reflected_c == Approx(10).epsilon(0).margin(kFloatRounding_k));
  CHECK(result.lugs[0].temperature_c->value() == Approx(61).epsilon(0).margin(kFloatRounding_k));
}

TEST_CASE(
    "the standard uncertainty is what moving each input by its own makes of the temperature") {
  // JCGM 100, 5.1.2: u² = Σ (∂f/∂x)² u²(x), here with each ∂f u(x) from measuring the image again.
  ImageParameters given = indoors();
  given.emissivity = Emissivity{0.7};
  given.emissivity_u = 0.001;
  given.reflected_u_c = 0.05;
  given.air_u_c = 0.05;
  given.camera_u_c = 0.05;
  given.noise_k = 0.03;
  given.window_transmittance = Fraction{0.8};
  given.window_u = 0.0005;
  given.atmosphere_u = 0.0004;
  given.nonuniformity_k = 0.02;
  given.atmosphere_transmittance = Fraction{0.9};
  const auto scene = scene_of(given);
  const auto image = photograph(scene, {}, lugs_at(61, 45, 47, 0.7));
  const auto lug = measured(image, given).lugs[0];

  double sum = 0;
  const auto moved_by = [&](ImageParameters moved, double stored_shift_k = 0) {
    auto stored = image.stored();
    const cv::Mat shifted = image.stored().pixels + cv::Scalar(stored_shift_k);
    stored.pixels = shifted;
    const auto again = measured(imaging::ThermalImage(stored, image.declaration()), moved);
    const double shift = again.lugs[0].temperature_c->value() - lug.temperature_c->value();
    sum += shift * shift;
  };
  ImageParameters moved = given;
  moved.emissivity = Emissivity{0.701};
  moved_by(moved);
  moved = given;
  moved.reflected_c = Celsius{24.05};
  moved_by(moved);
  moved = given;
  moved.air_c = Celsius{22.05};  // moves the window with it
  moved_by(moved);
  moved = given;
  moved.window_transmittance = Fraction{0.8005};
  moved_by(moved);
  moved = given;
  moved.atmosphere_transmittance = Fraction{0.9004};
  moved_by(moved);
  moved_by(given, 0.02);      // the camera's field
  moved_by(given, 0.05);      // the camera
  moved_by(given, 0.03 / 3);  // noise over nine pixels
  constexpr double kSecondOrder = 0.01;
  CHECK(lug.temperature_c->u() == Approx(std::sqrt(sum)).epsilon(kSecondOrder));
}

TEST_CASE("the camera's error is shared within a visit and leaves a difference of equal lugs") {
  ImageParameters given = indoors();
  given.emissivity_u = 0;
  given.noise_k = 0;
  given.nonuniformity_k = 0;
  const auto result = measured(photograph(scene_of(given), {}, lugs_at(45, 45, 60, 0.95)), given);
  const auto& a = *result.lugs[0].temperature_c;
  const auto& b = *result.lugs[1].temperature_c;
  CHECK(a.u() > 0.9);
  CHECK(radiometry::Estimate::combine(1, a, -1, b).u() < 1e-3);
}

TEST_CASE("an ambient patch is as uncertain as its own radiation, which it also reflects") {
  // A patch at the temperature of all that it reflects radiates as a black body whatever its
  // emissivity: moving the stored temperature moves the air by as much, and the emissivity by none.
  ImageParameters given;
  given.emissivity = Emissivity{0.7};
  given.camera_u_c = 0.5;
  given.noise_k = 0;
  given.nonuniformity_k = 0;
  given.air_u_c = 0;
  given.reflected_u_c = 0;
  ImageParameters truth = given;
  truth.air_c = Celsius{31};
  auto patches = lugs_at(61, 45, 47, 0.7);
  patches.push_back({kPatch, Celsius{31}, Emissivity{0.7}});
  MarkFile marks = three_lugs();
  marks.marks.push_back(mark_on("wall", MarkRole::ambient, kPatch));
  const auto result = measured(photograph(scene_of(truth), {}, patches), given, marks);
  constexpr double kRounding_k = 1e-4;
  CHECK(result.used->air_c->u() == Approx(0.5).epsilon(0).margin(kRounding_k));
}

TEST_CASE("a mark's own emissivity uncertainty counts before the image's") {
  ImageParameters given = indoors();
  given.camera_u_c = 0;
  given.noise_k = 0;
  given.nonuniformity_k = 0;
  given.reflected_u_c = 0;
  given.air_u_c = 0;
  given.emissivity_u = 0.01;
  const auto image = photograph(scene_of(given), {}, lugs_at(61, 61, 61, 0.95));
  MarkFile marks = three_lugs();
  marks.marks[1].emissivity_u = 0.03;
  marks.marks[2].emissivity = Emissivity{0.95};  // the default for it: 0.02
  const auto lugs = measured(image, given, marks).lugs;
  const double least = lugs[0].temperature_c->u();
  constexpr double kSecondOrder = 1e-3;
  CHECK(lugs[1].temperature_c->u() == Approx(3 * least).epsilon(kSecondOrder));
  CHECK(lugs[2].temperature_c->u() == Approx(2 * least).epsilon(kSecondOrder));
}

TEST_CASE("a row that lacks what the balance needs is rejected with what to fill in") {
  const ImageParameters sound = indoors();
  const auto image = photograph(scene_of(sound), {}, lugs_at(61, 45, 47, 0.95));
  ImageParameters given = sound;
  given.reflected_c.reset();
  given.air_c.reset();
  auto result = measured(image, given);
  CHECK(result.status == ImageStatus::rejected);
  CHECK(result.problems.front().find("reflected_c") != std::string::npos);

  given = sound;
  given.distance_m = Metre{8};
  result = measured(image, given);
  CHECK(result.status == ImageStatus::rejected);
  CHECK(result.problems.front().find("atmosphere_transmittance") != std::string::npos);
  given.distance_m = Metre{5};
  CHECK(measured(image, given).status == ImageStatus::measured);

  given = sound;
  given.air_c.reset();
  given.window_transmittance = Fraction{0.8};
  CHECK(measured(image, given).problems.front().find("air_c") != std::string::npos);
  given.window_c = Celsius{22};
  CHECK(measured(image, given).status == ImageStatus::measured);
}

TEST_CASE("without an emissivity the stored temperatures are taken as they are, and that is said") {
  const ImageParameters sound = indoors();
  const auto image =
      photograph(scene_of(sound), {Emissivity{0.95}, Celsius{24}}, lugs_at(61, 45, 47, 0.95));
  ImageParameters given = sound;
  given.emissivity.reset();
  given.saved_emissivity = Emissivity{0.95};
  const auto result = measured(image, given);
  CHECK(result.lugs[0].temperature_c->value() == Approx(61).epsilon(0).margin(kFloatRounding_k));
  REQUIRE(result.problems.size() == 1);
  CHECK(result.problems.front().find("emissivity is not given") != std::string::npos);
}

TEST_CASE("an emissivity too low for the scene makes a lug not measurable, with the reason") {
  // Apparent 28 °C, ε 0.10, reflected 35 °C has no solution above -60 °C (independent
  // quadrature).
  ImageParameters given = indoors();
  given.emissivity = Emissivity{0.1};
  given.reflected_c = Celsius{35};
  imaging::StoredImage stored;
  stored.pixels = cv::Mat(kHeight, kWidth, CV_32F, cv::Scalar(28));
  const imaging::ThermalImage image(stored, {1, 0, TemperatureUnit::celsius, "range"});
  const auto result = measured(image, given);
  REQUIRE(result.lugs.size() == 3);
  CHECK(!result.lugs[0].temperature_c);
  CHECK(result.lugs[0].has(Flag::outside_table));
  CHECK(result.problems.size() == 3);
  CHECK(result.problems.front().find("T1") != std::string::npos);
}

TEST_CASE("flags tell of small marks, small lugs, wind, low emissivity and pixels without data") {
  ImageParameters given = indoors();
  given.wind_m_s = MetrePerSecond{5.5};
  given.emissivity = Emissivity{0.45};
  given.ifov_mrad = Milliradian{4.5};
  given.distance_m = Metre{1};
  Motor motor;
  motor.lug_area_cm2 = SquareCentimetre{1.0};  // 10 mm; the spot is 13.5 mm
  auto image = photograph(scene_of(given), {}, lugs_at(61, 45, 47, 0.45));
  auto stored = image.stored();
  stored.pixels = image.stored().pixels.clone();
  stored.pixels.at<float>(kSecond.y + 2, kSecond.x + 2) = std::nanf("");
  MarkFile marks = three_lugs();
  marks.marks[2].shape = Circle{{49, 9}, 1};  // five pixels hold no 3×3 block
  const auto result =
      measured(imaging::ThermalImage(stored, image.declaration()), given, marks, &motor);
  CHECK(result.lugs[0].flags ==
        std::vector<Flag>{Flag::too_small, Flag::low_emissivity, Flag::wind});
  CHECK(result.lugs[1].has(Flag::no_data_pixels));
  given.distance_m.reset();
  given.wind_m_s = MetrePerSecond{5.0};
  const auto near = measured(image, given, marks, &motor);
  CHECK(near.lugs[0].flags == std::vector<Flag>{Flag::low_emissivity});
  CHECK(near.lugs[2].has(Flag::too_small));
}

TEST_CASE("marks made on an image of another size are refused; no lug mark leaves it unmarked") {
  const ImageParameters given = indoors();
  const auto image = photograph(scene_of(given), {}, lugs_at(61, 45, 47, 0.95));
  MarkFile marks = three_lugs();
  marks.width = 640;
  const auto other_size = measured(image, given, marks);
  CHECK(other_size.status == ImageStatus::rejected);
  CHECK(other_size.problems.front().find("640") != std::string::npos);
  CHECK(measured(image, given, MarkFile{"a.npy", kWidth, kHeight, {}}).status ==
        ImageStatus::unmarked);
}
