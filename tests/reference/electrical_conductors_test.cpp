// Printed rows of NEC chapter 9 table 8 and IEC 60228 table 2, from memory ("M"), held against what
// does not come from those tables: the metals' resistivities and the areas of the gauges.
#include "offered/electrical/conductors.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

using namespace ohmglow;
using namespace ohmglow::electrical;

namespace {

// Printed to three or four figures.
constexpr double kPrinted = 5e-4;
// The NEC prints Ω/kFT beside Ω/km, to three figures; 1 km = 3.280840 kFT.
constexpr double kFeetPerMetre = 1 / 0.3048;
constexpr double kThreeFigures = 6e-3;
// The standards add stranding (2 to 3 %), tolerance of the area and rounding to ρ/A.
constexpr double kStranding = 0.06;

double ohm(std::string_view size, ConductorMaterial metal, double metres, double at_c) {
  const auto r = conductor_resistance(size, metal, Metre{metres}, Celsius{at_c});
  REQUIRE(r);
  return r->value();
}

}  // namespace

TEST_CASE("printed rows of the conductor tables come back at their own temperature") {
  // NEC chapter 9 table 8, Ω/km at 75 °C: M. IEC 60228 table 2, Ω/km at 20 °C: M.
  struct Row {
    const char* size;
    double at_c, copper, aluminium;
  };
  const Row row = GENERATE(Row{"12 AWG", 75, 6.50, 10.69}, Row{"4/0 AWG", 75, 0.1996, 0.328},
                           Row{"250 kcmil", 75, 0.1687, 0.2778},
                           Row{"500 kcmil", 75, 0.0845, 0.1391}, Row{"16 mm2", 20, 1.15, 1.91},
                           Row{"50 mm2", 20, 0.387, 0.641}, Row{"240 mm2", 20, 0.0754, 0.125});
  CHECK(ohm(row.size, ConductorMaterial::copper, 1000, row.at_c) ==
        Approx(row.copper).epsilon(kPrinted));
  CHECK(ohm(row.size, ConductorMaterial::aluminium, 1000, row.at_c) ==
        Approx(row.aluminium).epsilon(kPrinted));
}

TEST_CASE("the NEC's ohms per kilometre agree with its ohms per thousand feet") {
  // NEC chapter 9 table 8, uncoated copper and aluminium, Ω/kFT at 75 °C: M.
  struct Row {
    const char* size;
    double copper, aluminium;
  };
  const Row row =
      GENERATE(Row{"12 AWG", 1.98, 3.25}, Row{"10 AWG", 1.24, 2.04}, Row{"8 AWG", 0.778, 1.28},
               Row{"6 AWG", 0.491, 0.808}, Row{"4 AWG", 0.308, 0.508}, Row{"2 AWG", 0.194, 0.319},
               Row{"1/0 AWG", 0.122, 0.201}, Row{"2/0 AWG", 0.0967, 0.159},
               Row{"4/0 AWG", 0.0608, 0.100}, Row{"250 kcmil", 0.0515, 0.0847},
               Row{"500 kcmil", 0.0258, 0.0424}, Row{"750 kcmil", 0.0171, 0.0282});
  const double metres = 1000 / kFeetPerMetre;
  CHECK(ohm(row.size, ConductorMaterial::copper, metres, 75) ==
        Approx(row.copper).epsilon(kThreeFigures));
  CHECK(ohm(row.size, ConductorMaterial::aluminium, metres, 75) ==
        Approx(row.aluminium).epsilon(kThreeFigures));
}

TEST_CASE("every row is the metal's resistivity over the area, plus stranding") {
  // ρ at 20 °C: 17.241 nΩ·m annealed copper (IACS, IEC 60028), 28.264 nΩ·m aluminium (IEC 60889).
  // AWG n: diameter 0.127 mm · 92^((36−n)/39) (ASTM B258); kcmil: 0.5067 mm². IEC 60228 prints
  // greatest resistances, 3 to 12 % above ρ/A of the nominal area.
  constexpr double kCopper = 17.241;
  constexpr double kAluminium = 28.264;
  for (const ConductorRow& row : nec_table_8()) {
    const std::string size(row.size);
    double area_mm2 = 0;
    if (size.ends_with("kcmil")) {
      area_mm2 = std::stod(size) * 0.506707;
    } else {
      const auto slash = size.find("/0");
      const double gauge = slash == std::string::npos ? std::stod(size) : 1 - std::stod(size);
      const double diameter_mm = 0.127 * std::pow(92, (36 - gauge) / 39);
      area_mm2 = 3.14159265 / 4 * diameter_mm * diameter_mm;
    }
    INFO(size);
    const double copper = kCopper / area_mm2 * (234.5 + 75) / (234.5 + 20);
    const double aluminium = kAluminium / area_mm2 * (228.0 + 75) / (228.0 + 20);
    CHECK(row.copper_ohm_per_km / copper == Approx(1 + kStranding / 2).margin(kStranding / 2));
    CHECK(*row.aluminium_ohm_per_km / aluminium ==
          Approx(1 + kStranding / 2).margin(kStranding / 2));
  }
  for (const ConductorRow& row : iec_60228_class_2()) {
    INFO(row.size);
    const double area_mm2 = std::stod(std::string(row.size));
    const double over = row.copper_ohm_per_km / (kCopper / area_mm2);
    CHECK(over > 1);
    CHECK(over < 1.15);
    if (row.aluminium_ohm_per_km) {
      CHECK(*row.aluminium_ohm_per_km / row.copper_ohm_per_km ==
            Approx(kAluminium / kCopper).epsilon(0.03));
    }
  }
}

TEST_CASE("the temperature correction is the one that the NEC prints below its table") {
  // R2 = R1 [1 + α (T2 − 75)], α = 0.00323 copper, 0.00330 aluminium: M.
  constexpr double kPrintedAlpha = 5e-4;
  CHECK(ohm("4/0 AWG", ConductorMaterial::copper, 1000, 20) ==
        Approx(0.1996 * (1 + 0.00323 * (20 - 75))).epsilon(kPrintedAlpha));
  CHECK(ohm("4/0 AWG", ConductorMaterial::aluminium, 1000, 20) ==
        Approx(0.328 * (1 + 0.00330 * (20 - 75))).epsilon(kPrintedAlpha));
}

TEST_CASE("sizes are understood as they are written, and strange ones are refused") {
  const auto copper = ConductorMaterial::copper;
  CHECK(ohm("AWG 12", copper, 100, 75) == Approx(0.650));
  CHECK(ohm("12awg", copper, 100, 75) == Approx(0.650));
  CHECK(ohm("250 MCM", copper, 1000, 75) == Approx(0.1687));
  CHECK(ohm("50mm²", copper, 1000, 20) == Approx(0.387));
  CHECK(ohm("2,5 MM2", copper, 1000, 20) == Approx(7.41));
  for (const char* size : {"", "51 mm2", "50", "awg", "5/0 AWG", "-12 AWG", "12 AWG AWG"}) {
    CHECK_FALSE(conductor_resistance(size, copper, Metre{1}, Celsius{20}));
  }
  CHECK_FALSE(conductor_resistance("1.5 mm2", ConductorMaterial::aluminium, Metre{1}, Celsius{20}));
}
