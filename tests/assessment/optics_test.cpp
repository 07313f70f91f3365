// The camera's band, the lugs' materials, the image's sharpness and a contact thermometer, each
// carried through to the numbers of an image. What a camera stores is made here by the balance
// forward; the balance itself is held against outside values in tests/reference.

#include "offered/assessment/contact.h"
#include "offered/radiometry/surfaces.h"
#include "offered/assessment/images.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

using namespace ohmglow;
using diagnosis::Flag;

namespace {

const cv::Size kSize(128, 96);
/// Pixels are 32-bit floats; low emissivity amplifies their rounding.
constexpr double kPixelRounding_k = 2e-3;

imaging::ThermalImage image_of(cv::Mat pixels) {
  imaging::StoredImage stored;
  stored.pixels = std::move(pixels);
  stored.format = "npy";
  stored.dtype = "float32";
  return {std::move(stored), Declaration{1, 0, TemperatureUnit::celsius, "range"}};
}

ImageEntry entry(double emissivity) {
  ImageEntry result;
  result.file = "a.npy";
  result.motor = "BE-1";
  result.component = "terminal box";
  result.parameters.emissivity = Emissivity{emissivity};
  result.parameters.reflected_c = Celsius{24};
  result.parameters.air_c = Celsius{22};
  return result;
}

Mark lug(const std::string& name, const Shape& shape) {
  Mark mark;
  mark.name = name;
  mark.phase = phase_from_name(name);
  mark.shape = shape;
  return mark;
}

MarkFile marks(std::vector<Mark> list) {
  return {"a.npy", kSize.width, kSize.height, std::move(list)};
}

diagnosis::ImageResult measured_through(
    const imaging::ThermalImage& image, const ImageEntry& row, const MarkFile& file,
    const radiometry::BandRadiance& band = radiometry::long_wave()) {
  return assessment::measure_image(image, row, file, nullptr, default_phase_names(), 0, 0, band);
}

/// Apparent temperature of a surface before 24 °C.
double apparent(const radiometry::BandRadiance& band, double object_c, double emissivity) {
  radiometry::Scene scene;
  scene.emissivity = Emissivity{emissivity};
  scene.reflected = Celsius{24};
  return band.temperature(*radiometry::received_radiance(band, Celsius{object_c}, scene))->value();
}

}  // namespace

TEST_CASE("a lug is measured in the band of its survey's camera, pixel tables and all") {
  // Round trip in each band; seen in the other one, the same stored number means another lug.
  const auto mid_wave =
      radiometry::BandRadiance::of(FlatBand{Micrometre{3}, Micrometre{5}}).value();
  const MarkFile file = marks({lug("T1", Rectangle{{20, 20}, {12, 12}})});
  for (const int type : {CV_32F, CV_16U}) {
    cv::Mat pixels(kSize, CV_32F, cv::Scalar(static_cast<float>(apparent(mid_wave, 80, 0.6))));
    imaging::StoredImage stored;
    stored.dtype = type == CV_32F ? "float32" : "uint16";
    pixels.convertTo(stored.pixels, type, type == CV_32F ? 1 : 500);
    const imaging::ThermalImage image(
        std::move(stored),
        Declaration{type == CV_32F ? 1 : 0.002, 0, TemperatureUnit::celsius, "images.csv"});
    const auto own = measured_through(image, entry(0.6), file, mid_wave);
    REQUIRE(own.lugs[0].temperature_c);
    CHECK(own.lugs[0].temperature_c->value() ==
          Approx(80).epsilon(0).margin(kPixelRounding_k + 0.002 / 0.6));
    const auto other = measured_through(image, entry(0.6), file);
    CHECK(std::abs(other.lugs[0].temperature_c->value() - 80) > 1);
  }
}

TEST_CASE("a lug takes its material's emissivity and that range's uncertainty") {
  // Round trip; u: JCGM 100, 4.3.7 for a rectangle.
  const radiometry::Material* material = radiometry::find_material("copper_oxidised");
  REQUIRE(material);
  const double eps = material->emissivity().value();
  const auto image =
      image_of(cv::Mat(kSize, CV_32F, cv::Scalar(apparent(radiometry::long_wave(), 70, eps))));
  Mark mark = lug("T1", Rectangle{{20, 20}, {12, 12}});
  mark.material = "Copper, oxidised";
  ImageEntry row = entry(0.95);
  row.parameters.camera_u_c = 0;
  row.parameters.reflected_u_c = 0;
  row.parameters.air_u_c = 0;
  row.parameters.noise_k = 0;
  row.parameters.nonuniformity_k = 0;
  const auto result = measured_through(image, row, marks({mark}));
  REQUIRE(result.lugs[0].temperature_c);
  CHECK(result.lugs[0].emissivity.value() == eps);
  CHECK(result.lugs[0].temperature_c->value() == Approx(70).epsilon(0).margin(kPixelRounding_k));
  // The only input left: −[L(T) − L(Tr)]/(ε L'(T)) per unit, by a difference of two solutions.
  const double step = 1e-4;
  radiometry::Scene scene;
  scene.reflected = Celsius{24};
  const auto solved = [&](double e) {
    scene.emissivity = Emissivity{e};
    const Radiance received =
        *radiometry::long_wave().radiance(Celsius{apparent(radiometry::long_wave(), 70, eps)});
    return radiometry::object_temperature(radiometry::long_wave(), received, scene)->value();
  };
  const double per_unit = (solved(eps + step) - solved(eps - step)) / (2 * step);
  CHECK(result.lugs[0].temperature_c->u() ==
        Approx(std::abs(per_unit) * material->emissivity_u()).epsilon(1e-4));
}

TEST_CASE(
    "the blur of the lugs' edges is told, and a mark smaller than block and blur is flagged") {
  // By construction: three bars under a Gaussian of 1.3 px. Block and blur need 3 + 4 × 1.3 = 8.2
  // px.
  cv::Mat pixels(kSize, CV_32F, cv::Scalar(24));
  for (const int x : {20, 54, 88})
    cv::rectangle(pixels, cv::Rect(x, 20, 18, 50), cv::Scalar(50), cv::FILLED);
  cv::Mat turned;
  const cv::Mat slant = cv::getRotationMatrix2D({64, 45}, 5, 1);
  cv::warpAffine(pixels, turned, slant, kSize, cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  cv::GaussianBlur(turned, turned, {}, 1.3);
  const auto result = measured_through(
      image_of(turned), entry(0.95),
      marks({lug("T1", Rectangle{{24, 36}, {9, 14}}), lug("T2", Rectangle{{59, 36}, {6, 14}}),
             lug("T3", Circle{{97, 45}, 5})}));
  REQUIRE(result.edge_blur_px);
  // The turned bars' corners were softened by the interpolation: some tenth of a pixel.
  CHECK(*result.edge_blur_px == Approx(1.35).epsilon(0.1));
  CHECK_FALSE(result.lugs[0].has(Flag::too_small));
  CHECK(result.lugs[1].has(Flag::too_small));
  CHECK_FALSE(result.lugs[2].has(Flag::too_small));
  const auto even = measured_through(image_of(cv::Mat(kSize, CV_32F, cv::Scalar(24))), entry(0.95),
                                     marks({lug("T1", Rectangle{{24, 36}, {4, 4}})}));
  CHECK_FALSE(even.edge_blur_px);
  CHECK_FALSE(even.lugs[0].has(Flag::too_small));
}

TEST_CASE("a contact thermometer tells the emissivity that made the image, with its budget") {
  // Round trip, and the budget against differences of solutions (JCGM 100, 5.1.3 note 2).
  const double truth = 0.72;
  const auto image =
      image_of(cv::Mat(kSize, CV_32F, cv::Scalar(apparent(radiometry::long_wave(), 66, truth))));
  const MarkFile file = marks({lug("T1", Rectangle{{20, 20}, {12, 12}})});
  const auto told = [&](double contact_c, double reflected_c) {
    ImageEntry row = entry(0.95);
    row.parameters.reflected_c = Celsius{reflected_c};
    const auto result =
        assessment::measure_emissivity(radiometry::long_wave(), image, row, file, "T1",
                                       {Celsius{contact_c}, KelvinDifference{0.4}}, false);
    REQUIRE(result);
    return *result;
  };
  const auto result = told(66, 24);
  CHECK(result.emissivity == Approx(truth).epsilon(0).margin(2e-5));
  const auto part = [&result](std::string_view input) {
    for (const auto& one : result.parts) {
      if (one.input == input) return one.u;
    }
    return 0.0;
  };
  constexpr double kStep_k = 0.05;
  constexpr double kSecondOrder = 1e-3;
  CHECK(part("contact") ==
        Approx(0.4 * (told(66 + kStep_k, 24).emissivity - told(66 - kStep_k, 24).emissivity) /
               (2 * kStep_k))
            .epsilon(kSecondOrder));
  // reflected_u_c is 1 °C unless given.
  CHECK(part("reflected") ==
        Approx((told(66, 24 + kStep_k).emissivity - told(66, 24 - kStep_k).emissivity) /
               (2 * kStep_k))
            .epsilon(kSecondOrder));
  CHECK(part("camera") > 0);
  CHECK(part("noise") > 0);
  CHECK(part("emissivity") == 0);
}
