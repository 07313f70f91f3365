// Published and independently computed values of still-air cooling and of contact spots. "V": the
// published text was read; "M": from memory; "C": computed independently with numpy.
#include "offered/electrical/heat_balance.h"
#include "ohmglow/electrical.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>

using namespace ohmglow;
using namespace ohmglow::electrical;

namespace {

constexpr double kPrinted5Figures = 1e-5;
// σ of CODATA 2018 against the book's 5.67e-8, and inputs of three figures.
constexpr double kBookFigures = 2e-3;
constexpr double kPrintedMilliKelvin = 6e-4;

}  // namespace

TEST_CASE("a hot pipe loses by free convection what a textbook's example gives") {
  // Incropera & DeWitt, example 9.4 (inputs M, result C): D 0.1 m, 165 °C in 23 °C, Ra 5.07075e6,
  // Pr 0.697: Nu 23.088, h 7.2266 W/(m² K) with k 0.0313, convection 322.38 W/m; the book prints
  // 763 to 766 W/m with radiation of ε 0.85 (M).
  const double nusselt = nusselt_cylinder(5.07075e6, 0.697);
  CHECK(nusselt == Approx(23.088).epsilon(kPrinted5Figures * 3));
  const double h = nusselt * 0.0313 / 0.1;
  CHECK(h == Approx(7.2266).epsilon(3e-5));
  const double radiation = 0.85 * 5.67e-8 * (std::pow(438, 4) - std::pow(296, 4));
  const double per_metre = 3.14159265 * 0.1 * (h * 142 + radiation);
  CHECK(per_metre >= 763);
  CHECK(per_metre <= 766);
}

TEST_CASE("a fire screen loses by free convection what a textbook's example gives") {
  // Incropera & DeWitt, example 9.2 (inputs M, result C; the book prints 1060 W): plate 0.71 × 1.02
  // m, 232 °C in 23 °C, Ra 1.81253e9, Pr 0.690, k 0.0338.
  const double nusselt = nusselt_plate(1.81253e9, 0.690);
  CHECK(nusselt == Approx(147.107).epsilon(kPrinted5Figures));
  CHECK(nusselt * 0.0338 / 0.71 * 0.71 * 1.02 * 209 == Approx(1060).margin(0.5));
}

TEST_CASE("the rows of the air table come back") {
  // Incropera, table A.4 (M).
  CHECK(air_at(Kelvin{300}).kinematic_viscosity_m2_s == Approx(15.89e-6));
  CHECK(air_at(Kelvin{350}).conductivity_w_mk == Approx(30.0e-3));
  CHECK(air_at(Kelvin{400}).diffusivity_m2_s == Approx(38.3e-6));
  CHECK(air_at(Kelvin{325}).prandtl == Approx(0.7035));
  CHECK(air_at(Kelvin{100}).prandtl == Approx(0.720));
  CHECK(air_at(Kelvin{900}).prandtl == Approx(0.684));
}

TEST_CASE("bodies the size of lugs lose what was computed independently") {
  // C: linear interpolation of the air table, g 9.80665, laminar plate.
  struct Row {
    BodyShape shape;
    double size_m, surface_c, air_c, emissivity, ra, nu, hc, hr, q;
  };
  const auto cylinder = BodyShape::horizontal_cylinder;
  const auto plate = BodyShape::vertical_plate;
  const Row row =
      GENERATE_COPY(Row{cylinder, .010, 60, 25, .8, 2509, 3.18132, 8.7353, 5.72416, 506.081},
                    Row{cylinder, .020, 60, 25, .8, 20072, 5.17062, 7.09877, 5.72416, 448.803},
                    Row{cylinder, .020, 100, 25, .8, 32404, 5.81989, 8.42082, 6.94719, 1152.601},
                    Row{cylinder, .020, 60, 25, .1, 20072, 5.17062, 7.09877, 0.71552, 273.500},
                    Row{plate, .025, 60, 25, .9, 39203, 7.91004, 8.68779, 6.43968, 529.462},
                    Row{plate, .050, 90, 30, .9, 419010, 13.74771, 7.90579, 7.60924, 930.902},
                    Row{cylinder, .015, 45, 40, .95, 1209.7, 2.71629, 4.97228, 6.77704, 58.7466});
  const auto h = heat_transfer({row.shape, Metre{row.size_m}, Emissivity{row.emissivity}},
                               Celsius{row.surface_c}, Celsius{row.air_c});
  CHECK(h.rayleigh == Approx(row.ra).epsilon(3e-5));
  CHECK(h.nusselt == Approx(row.nu).epsilon(kPrinted5Figures));
  CHECK(h.convection_w_m2k == Approx(row.hc).epsilon(kPrinted5Figures));
  CHECK(h.radiation_w_m2k == Approx(row.hr).epsilon(kPrinted5Figures));
  CHECK(h.total_w_m2k() * (row.surface_c - row.air_c) == Approx(row.q).epsilon(kPrinted5Figures));
}

TEST_CASE("without leads a lug loses h A, and each lead adds the long fin of the textbook") {
  // Incropera, table 3.4, case D: q = √(h P k S) θ (M). Ø 5 mm of copper (k 398), h 100:
  // example 3.9 prints M = √(h P k S) θ = 8.3 W for 75 K (M), here by the formula alone.
  const double fin = std::sqrt(100 * 3.14159265 * .005 * 398 * 3.14159265 / 4 * .005 * .005);
  CHECK(fin * 75 == Approx(8.3).margin(0.05));
  LugCooling lug{.area = SquareCentimetre{20},
                 .body = {BodyShape::horizontal_cylinder, Metre{.02}, Emissivity{.8}},
                 .section_mm2 = 50,
                 .leads = 0};
  CHECK(loss(lug, Celsius{60}, Celsius{25}).value() == Approx(448.803 * 20e-4).epsilon(1e-5));
  const double h = 7.09877 + 5.72416;
  const double section = 50e-6;
  const double perimeter = 3.14159265 * 2 * std::sqrt(section / 3.14159265);
  lug.leads = 2;
  CHECK(loss(lug, Celsius{60}, Celsius{25}).value() ==
        Approx(448.803 * 20e-4 + 2 * std::sqrt(h * perimeter * 401 * section) * 35).epsilon(1e-5));
}

TEST_CASE("half a milliohm at three hundred amperes makes the rise that was computed") {
  // C: lug of 60 cm² on 150 mm², like lugs at 45 °C in 25 °C; 0.52 mΩ · (300 A)² = 46.8 W.
  const LugSetting lug{.area = SquareCentimetre{60},
                       .section_low_mm2 = 150,
                       .section_high_mm2 = 150,
                       .like = Celsius{45},
                       .air = Celsius{25}};
  const Watt extra = excess_heat(Ohm{.52e-3}, Ampere{300});
  CHECK(extra.value() == Approx(46.8));
  const Interval rise = rise_from(lug, extra);
  CHECK(rise.low == Approx(52.950937).margin(1e-4));
  CHECK(rise.high == Approx(196.182297).margin(1e-4));
  CHECK(rise.holds(53));
  const Interval ohm = ohms_behind(lug, KelvinDifference{53}, Ampere{300});
  CHECK(ohm.low == Approx(0.12199106e-3).epsilon(1e-6));
  CHECK(ohm.high == Approx(0.52052958e-3).epsilon(1e-6));
}

TEST_CASE("from watts to a rise and back is the same way") {
  // An inverse; no source.
  const LugSetting lug{.area = SquareCentimetre{12},
                       .section_low_mm2 = 16,
                       .section_high_mm2 = 35,
                       .like = Celsius{40},
                       .air = Celsius{20}};
  for (const double watts : {0.01, 0.5, 3.0, 20.0}) {
    const Interval rise = rise_from(lug, Watt{watts});
    CHECK(watts_behind(lug, KelvinDifference{rise.low}).high == Approx(watts).epsilon(1e-6));
    CHECK(watts_behind(lug, KelvinDifference{rise.high}).low == Approx(watts).epsilon(1e-6));
  }
}

TEST_CASE("a cylinder in cross flow has the Nusselt number of the textbook's example") {
  // Incropera & DeWitt, example 7.4 (M): air at 10 m/s over 12.7 mm, film 350 K: Re 6071, Pr 0.70,
  // Churchill and Bernstein give Nu 40.6.
  const double reynolds = 10 * 0.0127 / 20.92e-6;
  CHECK(reynolds == Approx(6071).margin(0.5));
  CHECK(nusselt_cross_flow(reynolds, 0.70) == Approx(40.6).margin(0.05));
  CHECK(nusselt_cross_flow(0, 0.70) == Approx(0.3));
}

TEST_CASE("moved air adds its share to the free convection in cubes") {
  // C: cylinder of 1 cm at 60 °C in 20 °C, ε 0.95: 15.6569 W/(m² K) in still air, 53.7598 at 2 m/s.
  const auto total = [](double wind) {
    return heat_transfer(
               {BodyShape::horizontal_cylinder, Metre{.01}, Emissivity{.95}, MetrePerSecond{wind}},
               Celsius{60}, Celsius{20})
        .total_w_m2k();
  };
  CHECK(total(0) == Approx(15.656901).epsilon(1e-6));
  CHECK(total(2) == Approx(53.759829).epsilon(1e-6));
}

TEST_CASE("wind and an unknown surface widen the interval, each on its own side") {
  // C: 20 K over 40 °C in 20 °C on conductors of 16.7 to 50 mm². 12 cm² in still air 0.86684 to
  // 7.20627 W, in up to 2 m/s to 13.47582 W; of an unknown lug, 0.6 to 2 times 9.4 D², 0.76463 to
  // 7.51620 W.
  LugSetting lug{.area = SquareCentimetre{12},
                 .section_low_mm2 = 100.0 / 6,
                 .section_high_mm2 = 50,
                 .like = Celsius{40},
                 .air = Celsius{20}};
  const KelvinDifference rise{20};
  const Interval still = watts_behind(lug, rise);
  CHECK(still.low == Approx(0.86683827).epsilon(1e-6));
  CHECK(still.high == Approx(7.20627221).epsilon(1e-6));
  lug.wind = MetrePerSecond{2};
  CHECK(watts_behind(lug, rise).low == still.low);
  CHECK(watts_behind(lug, rise).high == Approx(13.47582332).epsilon(1e-6));
  lug.wind = MetrePerSecond{0};
  CHECK(lug_area_of(50).value() == Approx(15.319618).epsilon(1e-6));
  lug.area = lug_area_of(100.0 / 6) * 0.6;
  lug.area_high = lug_area_of(50) * 2;
  CHECK(watts_behind(lug, rise).low == Approx(0.76463425).epsilon(1e-6));
  CHECK(watts_behind(lug, rise).high == Approx(7.51620172).epsilon(1e-6));
}

TEST_CASE("at one rise a bare tinned lug sheds 1/1.64 of a painted one") {
  // C, from the rows above.
  const auto flux = [](double emissivity) {
    return heat_transfer({BodyShape::horizontal_cylinder, Metre{.02}, Emissivity{emissivity}},
                         Celsius{60}, Celsius{25})
        .total_w_m2k();
  };
  CHECK(flux(.8) / flux(.1) == Approx(1.64).margin(0.005));
}

TEST_CASE("contact spots are as hot as Holm's relation says") {
  // V² = 4 L (T² − T0²), L = 2.44e-8 V²/K²; rows C.
  struct Row {
    double volt, bulk_k, expected_c;
  };
  const Row row =
      GENERATE(Row{.010, 293.15, 21.742}, Row{.030, 293.15, 35.327}, Row{.100, 293.15, 160.896},
               Row{.120, 293.15, 210.046}, Row{.130, 293.15, 235.861}, Row{.050, 333.15, 96.449});
  CHECK(spot_temperature(Volt{row.volt}, to_celsius(Kelvin{row.bulk_k})).value() ==
        Approx(row.expected_c).margin(kPrintedMilliKelvin));
  CHECK(spot_temperature(Volt{.43}, Celsius{20}).value() == Approx(1134).margin(0.5));
}

TEST_CASE("the printed melting voltages are near those of the metals' melting points") {
  // Softening and melting voltages: Holm, Slade (M). From the relation with the metals' melting
  // points: Cu .414, Al .277, Sn .129, Zn .196, Ag .375 V (C).
  struct Row {
    std::string_view name;
    double softening, melting, by_relation;
  };
  for (const Row& row :
       {Row{"copper", .12, .43, .414}, Row{"aluminium", .1, .3, .277}, Row{"tin", .07, .13, .129},
        Row{"zinc", .1, .17, .196}, Row{"silver", .09, .37, .375}}) {
    INFO(row.name);
    const auto metals = contact_metals();
    const auto metal = std::find_if(metals.begin(), metals.end(),
                                    [&row](const ContactMetal& m) { return m.name == row.name; });
    REQUIRE(metal != metals.end());
    CHECK(metal->softening.value() == row.softening);
    CHECK(metal->melting.value() == row.melting);
    CHECK(metal->melting.value() == Approx(row.by_relation).epsilon(0.16));
  }
}

TEST_CASE("fifty millivolts at a hundred amperes are five watts") {
  // V·I (Joule); the figure stands in the text on contact physics that the table above is from (C).
  CHECK(excess_heat(Ohm{.050 / 100}, Ampere{100}).value() == Approx(5.0));
}
