// Materials, and the emissivity that the balance gives a surface of known temperature.

#include "offered/radiometry/surfaces.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>
#include <set>

using namespace ohmglow;
using namespace ohmglow::radiometry;

TEST_CASE("every material is a range with a source, under a name of its own") {
  std::set<std::string_view> names;
  for (const Material& material : materials()) {
    CAPTURE(material.name);
    CHECK(material.low > 0);
    CHECK(material.low < material.high);
    CHECK(material.high <= 1);
    CHECK(material.source.find("memory") != std::string_view::npos);
    CHECK(names.insert(material.name).second);
    CHECK(find_material(material.name) == &material);
    CHECK(find_material(material.title) == &material);
  }
  CHECK(names.size() >= 19);
}

TEST_CASE("the ranges are those of the handbooks") {
  // Incropera & DeWitt table A.11, Wolfe & Zissis, Bramson; from memory.
  const auto range = [](std::string_view name) {
    const Material* material = find_material(name);
    REQUIRE(material);
    return std::pair(material->low, material->high);
  };
  CHECK(range("copper_polished") == std::pair(0.02, 0.05));
  CHECK(range("copper_oxidised") == std::pair(0.60, 0.70));
  CHECK(range("tin_plated") == std::pair(0.04, 0.08));
  CHECK(range("vinyl_tape") == std::pair(0.95, 0.97));
  CHECK(range("aluminium_anodised") == std::pair(0.55, 0.97));
  // A single handbook value stands within a range of 2:1.
  for (const auto& [name, value] :
       {std::pair("aluminium_as_received", 0.09), std::pair("brass_tarnished", 0.22),
        std::pair("steel_galvanised_bright", 0.23)}) {
    const auto [low, high] = range(name);
    CHECK(high == Approx(2 * low));
    CHECK((low < value && value < high));
  }
}

TEST_CASE("a material is found however it is written, and a stranger is not") {
  CHECK(find_material("Copper, oxidised") == find_material("copper_oxidised"));
  CHECK(find_material("  VINYL-electrical  tape") == find_material("vinyl_tape"));
  CHECK(find_material("") == nullptr);
  CHECK(find_material("gold leaf") == nullptr);
}

TEST_CASE("a mark takes its material's emissivity, with the uncertainty of a rectangle") {
  // JCGM 100, 4.3.7: half the width over the root of three.
  MarkFile marks;
  marks.marks.resize(4);
  marks.marks[0].material = "copper_oxidised";
  marks.marks[1].material = "copper_oxidised";
  marks.marks[1].emissivity = Emissivity{0.8};
  marks.marks[2].material = "gold leaf";
  marks.marks[3].material = "copper_oxidised";
  marks.marks[3].role = MarkRole::reflector;
  marks = with_materials(marks);
  REQUIRE(marks.marks[0].emissivity);
  CHECK(marks.marks[0].emissivity->value() == Approx(0.65));
  REQUIRE(marks.marks[0].emissivity_u);
  CHECK(*marks.marks[0].emissivity_u == Approx(0.05 / std::sqrt(3.0)));
  CHECK(marks.marks[1].emissivity->value() == 0.8);
  CHECK_FALSE(marks.marks[1].emissivity_u);
  CHECK_FALSE(marks.marks[2].emissivity);
  CHECK_FALSE(marks.marks[3].emissivity);  // a reflector patch
}

TEST_CASE("the emissivity of random scenes comes back from the object's temperature") {
  // Own law: the balance forward, then solved for the emissivity.
  std::mt19937_64 random(1933);
  const auto between = [&random](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  for (int i = 0; i < 500; ++i) {
    Scene scene;
    scene.emissivity = Emissivity{between(0.02, 1)};
    scene.reflected = Celsius{between(-40, 60)};
    scene.atmosphere_transmittance = Fraction{between(0.7, 1)};
    scene.air = Celsius{between(-20, 45)};
    scene.window_transmittance = Fraction{between(0.5, 0.95)};
    scene.window_reflectance = Fraction{between(0, 0.05)};
    const Celsius object{scene.reflected.value() + between(10, 200)};
    const auto received = received_radiance(long_wave(), object, scene);
    REQUIRE(received);
    const double truth = scene.emissivity.value();
    scene.emissivity = Emissivity{0.5};
    const auto emissivity = emissivity_of(long_wave(), *received, object, scene);
    REQUIRE(emissivity);
    CHECK(*emissivity == Approx(truth).epsilon(0).margin(1e-10));
  }
}

TEST_CASE("a surface at the reflected temperature tells no emissivity") {
  // Kirchhoff: in a cavity of one temperature every surface looks the same.
  Scene scene;
  scene.reflected = Celsius{37};
  CHECK_FALSE(emissivity_of(long_wave(), *long_wave().radiance(Celsius{37}), Celsius{37}, scene));
  CHECK_FALSE(emissivity_of(long_wave(), Radiance{60}, Celsius{2000}, scene));
}
