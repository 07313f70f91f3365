#include "ohmglow/radiometry.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::radiometry;

namespace {

/// Results of a few operations in double precision.
constexpr double kBalanceRounding = 1e-12;

/// Everything that determines an object temperature, so that each part can be moved alone.
struct Situation {
  double stored_c;
  SavedAs saved;
  Scene scene;

  [[nodiscard]] std::optional<double> object_c() const {
    const auto received = apparent_radiance(long_wave(), Celsius{stored_c}, saved);
    if (!received) return std::nullopt;
    const auto object = object_temperature(long_wave(), *received, scene);
    if (!object) return std::nullopt;
    return object->value();
  }
};

Situation random_situation(std::mt19937& random) {
  const auto between = [&random](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  Situation s{between(20, 300), {Emissivity{between(.3, 1)}, Celsius{between(-20, 60)}}, {}};
  const double tau_w = between(.4, .95);
  s.scene = {Emissivity{between(.15, .98)},
             Celsius{between(-40, 60)},
             Fraction{between(.6, .99)},
             Celsius{between(-20, 45)},
             Fraction{tau_w},
             Fraction{between(.01, .9) * (1 - tau_w)},
             Celsius{between(0, 60)},
             Celsius{between(10, 40)}};
  return s;
}

std::vector<Situation> solvable_situations(std::size_t count) {
  std::mt19937 random(18434);
  std::vector<Situation> situations;
  while (situations.size() < count) {
    const Situation s = random_situation(random);
    if (const auto t = s.object_c(); t && *t > -50 && *t < 1400) situations.push_back(s);
  }
  return situations;
}

}  // namespace

TEST_CASE("the balance solved backward undoes the balance forward") {
  // An inverse must undo its function. 1e-6 K allows for the smallest share of the object in these
  // scenes, 4 %, through which rounding is amplified.
  constexpr double kRoundTrip_k = 1e-6;
  for (const Situation& s : solvable_situations(500)) {
    const double t = *s.object_c();
    const auto received = received_radiance(long_wave(), Celsius{t}, s.scene);
    REQUIRE(received);
    const auto asked = apparent_radiance(long_wave(), Celsius{s.stored_c}, s.saved);
    CHECK(received->value() == Approx(asked->value()).epsilon(1e-12));
    const auto back = object_temperature(long_wave(), *received, s.scene);
    REQUIRE(back);
    CHECK(back->value() == Approx(t).epsilon(0).margin(kRoundTrip_k));
  }
}

TEST_CASE("a black surface seen through nothing has its apparent temperature") {
  // Definition of the apparent temperature (ISO 18434-1, from memory).
  for (const double t : {-60.0, -5.0, 20.0, 75.5, 1500.0}) {
    const auto received = apparent_radiance(long_wave(), Celsius{t}, SavedAs{});
    REQUIRE(received);
    CHECK(object_temperature(long_wave(), *received, Scene{})->value() ==
          Approx(t).epsilon(0).margin(1e-9));
  }
}

TEST_CASE("in surroundings of one temperature every surface shows that temperature") {
  // Kirchhoff: in a cavity in equilibrium nothing can be told apart, whatever its emissivity.
  Scene cavity{Emissivity{.3}, Celsius{37},  Fraction{.8}, Celsius{37},
               Fraction{.7},   Fraction{.1}, Celsius{37},  Celsius{37}};
  const auto received = received_radiance(long_wave(), Celsius{37}, cavity);
  REQUIRE(received);
  CHECK(long_wave().temperature(*received)->value() == Approx(37).epsilon(0).margin(1e-9));
}

TEST_CASE("every sensitivity is the derivative that small steps give") {
  constexpr double kRelative = 2e-4;  // central differences of steps this size
  constexpr double kAbsolute = 1e-5;
  struct Input {
    const char* name;
    double step;
    double Sensitivities::*derivative;
    std::function<void(Situation&, double)> move;
  };
  const auto moved = [](auto& quantity, double by) {
    quantity = std::remove_reference_t<decltype(quantity)>{quantity.value() + by};
  };
  const std::vector<Input> inputs{
      {"emissivity", 1e-4, &Sensitivities::emissivity,
       [&](Situation& s, double d) { moved(s.scene.emissivity, d); }},
      {"reflected", 1e-2, &Sensitivities::reflected,
       [&](Situation& s, double d) { moved(s.scene.reflected, d); }},
      {"air", 1e-2, &Sensitivities::air, [&](Situation& s, double d) { moved(s.scene.air, d); }},
      {"atmosphere", 1e-4, &Sensitivities::atmosphere_transmittance,
       [&](Situation& s, double d) { moved(s.scene.atmosphere_transmittance, d); }},
      {"window transmittance", 1e-4, &Sensitivities::window_transmittance,
       [&](Situation& s, double d) { moved(s.scene.window_transmittance, d); }},
      {"window", 1e-2, &Sensitivities::window,
       [&](Situation& s, double d) { moved(s.scene.window, d); }},
      {"window reflected", 1e-2, &Sensitivities::window_reflected,
       [&](Situation& s, double d) { moved(s.scene.window_reflected, d); }},
      {"stored", 1e-2, &Sensitivities::stored, [](Situation& s, double d) { s.stored_c += d; }},
      {"saved reflected", 1e-2, &Sensitivities::saved_reflected,
       [&](Situation& s, double d) { moved(s.saved.reflected, d); }},
  };
  for (const Situation& s : solvable_situations(100)) {
    const Sensitivities d =
        sensitivities(long_wave(), Celsius{s.stored_c}, s.saved, Celsius{*s.object_c()}, s.scene);
    for (const Input& input : inputs) {
      Situation up = s;
      Situation down = s;
      input.move(up, input.step);
      input.move(down, -input.step);
      REQUIRE((up.object_c() && down.object_c()));
      const double slope = (*up.object_c() - *down.object_c()) / (2 * input.step);
      CAPTURE(input.name, *s.object_c());
      CHECK(d.*input.derivative == Approx(slope).epsilon(kRelative).margin(kAbsolute));
    }
  }
}

TEST_CASE("a saved reflected temperature that is the scene's own all but cancels") {
  // With the same emissivity then and now the stored number already is the object's temperature,
  // whatever was reflected: the two sensitivities to the one input must add to nothing.
  const Situation s{80, {Emissivity{.8}, Celsius{25}}, {Emissivity{.8}, Celsius{25}}};
  const Sensitivities d = sensitivities(long_wave(), Celsius{80}, s.saved, Celsius{80}, s.scene);
  CHECK(d.reflected < -0.1);
  CHECK(d.reflected + d.saved_reflected == Approx(0).epsilon(0).margin(1e-12));
  CHECK(d.stored == Approx(1).epsilon(1e-12));
}

TEST_CASE("terms that share the unknown temperature are solved along with it") {
  // By definition: put the solution in for each named term and the plain balance must receive the
  // same radiance.
  for (const Situation& s : solvable_situations(100)) {
    for (int choice = 0; choice < 16; ++choice) {
      const SharesTemperature shares{(choice & 1) != 0, (choice & 2) != 0, (choice & 4) != 0,
                                     (choice & 8) != 0};
      const auto received = apparent_radiance(long_wave(), Celsius{s.stored_c}, s.saved);
      const auto t = object_temperature(long_wave(), *received, s.scene, shares);
      if (!t) continue;
      Scene filled = s.scene;
      if (shares.reflected) filled.reflected = *t;
      if (shares.air) filled.air = *t;
      if (shares.window) filled.window = *t;
      if (shares.window_reflected) filled.window_reflected = *t;
      CHECK(received_radiance(long_wave(), *t, filled)->value() ==
            Approx(received->value()).epsilon(1e-11));
    }
  }
}

TEST_CASE("where everything shares the unknown temperature the apparent one is the answer") {
  const Scene scene{Emissivity{.2}, Celsius{0},   Fraction{.5}, Celsius{0},
                    Fraction{.5},   Fraction{.2}, Celsius{0},   Celsius{0}};
  const auto received = long_wave().radiance(Celsius{31});
  CHECK(object_temperature(long_wave(), *received, scene, {true, true, true, true})->value() ==
        Approx(31).epsilon(0).margin(1e-9));
}

TEST_CASE("what has no solution inside the table has no temperature") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto solved = [](Scene scene, double apparent_c) {
    return object_temperature(long_wave(), *long_wave().radiance(Celsius{apparent_c}), scene);
  };
  SECTION("reflections alone exceed the signal") {
    CHECK_FALSE(solved({.emissivity = Emissivity{.1}, .reflected = Celsius{60}}, 28));
  }
  SECTION("hotter than the table") {
    CHECK_FALSE(solved({.emissivity = Emissivity{.05}}, 700));
  }
  SECTION("nothing of the surface comes through") {
    CHECK_FALSE(solved({.emissivity = Emissivity{0}}, 20));
    CHECK_FALSE(solved({.atmosphere_transmittance = Fraction{0}}, 20));
    CHECK_FALSE(solved({.window_transmittance = Fraction{0}}, 20));
    CHECK_FALSE(solved({.emissivity = Emissivity{1e-9}}, 20));
  }
  SECTION("a scene that cannot be") {
    CHECK_FALSE(solved({.emissivity = Emissivity{1.2}}, 20));
    CHECK_FALSE(solved({.emissivity = Emissivity{nan}}, 20));
    CHECK_FALSE(
        solved({.window_transmittance = Fraction{.8}, .window_reflectance = Fraction{.3}}, 20));
    CHECK_FALSE(solved({.emissivity = Emissivity{.9}, .reflected = Celsius{nan}}, 20));
    CHECK_FALSE(solved({.emissivity = Emissivity{.9}, .reflected = Celsius{-200}}, 20));
  }
  SECTION("a stored number outside the table") {
    CHECK_FALSE(apparent_radiance(long_wave(), Celsius{-61}, SavedAs{}));
    CHECK_FALSE(apparent_radiance(long_wave(), Celsius{nan}, SavedAs{}));
    CHECK_FALSE(received_radiance(long_wave(), Celsius{1501}, Scene{}));
    CHECK_FALSE(object_temperature(long_wave(), Radiance{nan}, Scene{}));
  }
}

TEST_CASE("a source without a share in the signal may have any temperature") {
  const Scene scene{.emissivity = Emissivity{1}, .reflected = Celsius{-200}, .air = Celsius{-90}};
  const auto received = received_radiance(long_wave(), Celsius{50}, scene);
  REQUIRE(received);
  CHECK(object_temperature(long_wave(), *received, scene)->value() ==
        Approx(50).epsilon(kBalanceRounding));
  const Sensitivities d = sensitivities(long_wave(), Celsius{50}, SavedAs{}, Celsius{50}, scene);
  CHECK(std::isfinite(d.emissivity));
  CHECK(std::isfinite(d.atmosphere_transmittance));
}

TEST_CASE("rounding of a window that neither emits nor is there does no harm") {
  // 1 - 0.7 - 0.3 is not zero in binary.
  const Scene scene{.window_transmittance = Fraction{.7},
                    .window_reflectance = Fraction{.3},
                    .window = Celsius{-300}};
  CHECK(received_radiance(long_wave(), Celsius{50}, scene));
}
