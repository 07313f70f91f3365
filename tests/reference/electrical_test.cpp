// Published and independently computed values. "V": the published text was read; "V2": read in a
// secondary text; "M": from memory; "C": computed independently with numpy.
#include "ohmglow/electrical.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::electrical;

namespace {

// The tables print six decimals: half a last digit.
constexpr double kPrinted6 = 5.1e-7;
// Printed to five decimals.
constexpr double kPrinted5 = 5.1e-6;
// Printed to eight decimals.
constexpr double kPrinted8 = 5.1e-9;
// Phasor lines are printed with seven or eight digits, which moves u2 (in percent) by this much.
constexpr double kFromPrintedLines = 1.5e-5;
// Read off a curve by eye; the standard prints no table.
constexpr double kReadOff = 0.01;

double nema(double a, double b, double c) {
  return unbalance({a, b, c})->value();
}
double u2(double a, double b, double c) {
  return negative_sequence({Volt{a}, Volt{b}, Volt{c}})->value();
}
PerPair<Ohm> pairs(double r12, double r23, double r31) {
  return {Ohm{r12}, Ohm{r23}, Ohm{r31}};
}

struct Lines {
  double a, b, c, expected;
};

}  // namespace

TEST_CASE("the voltage unbalance is the largest deviation from the mean over the mean") {
  // NEMA MG 1 definition: V (Pillay & Manyage, letter on definitions of voltage unbalance).
  const Lines line = GENERATE(
      // MG 1, 14.36 example (M, clause number M)
      Lines{460, 467, 450, 1.960784},
      // U.S. DOE motor tip sheet example, which prints 1.1 % (V)
      Lines{462, 463, 455, 1.086957},
      // C
      Lines{203, 210, 212, 2.560000},
      // C; the low line is farthest (one published page takes the high one and gets 1.45 %)
      Lines{400, 395, 388, 1.606086},
      // C
      Lines{480, 476, 472, 0.840336});
  CHECK(nema(line.a, line.b, line.c) == Approx(line.expected).margin(kPrinted6));
}

TEST_CASE("the same definition serves for currents") {
  // C, both rows.
  CHECK(nema(33, 29, 34) == Approx(9.375).margin(kPrinted6));
  CHECK(nema(100, 92, 108) == Approx(8.0).margin(kPrinted6));
}

TEST_CASE("the derating factor follows the published read-off of the curve") {
  // NEMA MG 1 fig. 14-1 / 20-2 is a curve. Read-off A: V. The other usual read-off: M, a range.
  struct Row {
    double pct, read_off, other_low, other_high;
  };
  const Row row =
      GENERATE(Row{0, 1.00, 1, 1}, Row{0.5, 1.00, 0.98, 1}, Row{1.5, 0.97, 0.95, 1},
               Row{2, 0.95, 0.95, 0.95}, Row{2.5, 0.93, 0.88, 0.95}, Row{3, 0.89, 0.88, 0.90},
               Row{3.5, 0.85, 0.82, 0.90}, Row{4, 0.82, 0.82, 0.83}, Row{4.5, 0.78, 0.75, 0.83},
               Row{5, 0.76, 0.75, 0.76});
  const auto factor = derating_factor(Percent{row.pct});
  REQUIRE(factor);
  CHECK(*factor == Approx(row.read_off).margin(1e-12));
  CHECK(*factor >= row.other_low - kReadOff);
  CHECK(*factor <= row.other_high + kReadOff);
}

TEST_CASE("at one percent, where the read-off has a gap, the factor lies in the other read-off") {
  // The other usual read-off prints 0.98 to 1.00 at 1 % (M).
  const double factor = *derating_factor(Percent{1});
  CHECK(factor >= 0.98);
  CHECK(factor <= 1.00);
}

TEST_CASE("above five percent there is no derating factor: do not run") {
  // NEMA MG 1: V.
  CHECK(derating_factor(Percent{5.0}));
  CHECK_FALSE(derating_factor(Percent{5.0001}));
}

TEST_CASE("the negative-sequence factor agrees with phasors solved from the three lines") {
  // IEC 61000-4-30, 5.7 (the form: V in nine public sources; clause number M). u2: C, from phasors.
  const Lines line = GENERATE(Lines{400, 400, 400, 0}, Lines{460, 467, 450, 2.146461},
                              Lines{462, 463, 455, 1.091427}, Lines{400, 395, 388, 1.763135},
                              Lines{399, 406, 413, 1.991282}, Lines{230, 230, 220, 2.920778},
                              Lines{230, 225, 238, 3.290150}, Lines{415, 429, 419, 1.984742},
                              Lines{690, 680, 701, 1.757892}, Lines{100, 97, 103, 3.466314},
                              Lines{400, 380, 360, 6.089365}, Lines{100, 80, 100, 13.899825});
  CHECK(u2(line.a, line.b, line.c) == Approx(line.expected).margin(kPrinted6));
}

TEST_CASE("the unbalance of the same lines stands beside the negative-sequence factor") {
  // C.
  const Lines line = GENERATE(Lines{399, 406, 413, 1.724138}, Lines{230, 230, 220, 2.941176},
                              Lines{230, 225, 238, 3.030303}, Lines{415, 429, 419, 1.900238},
                              Lines{690, 680, 701, 1.545147}, Lines{100, 97, 103, 3.000000},
                              Lines{400, 380, 360, 5.263158}, Lines{100, 80, 100, 14.285714});
  CHECK(nema(line.a, line.b, line.c) == Approx(line.expected).margin(kPrinted6));
}

TEST_CASE("lines made from phasors give back the negative sequence they were made with") {
  // C: V1 = 1, V2 = 0.02 at 0°, 60° and 30°; printed lines and NEMA figures.
  struct Row {
    double a, b, c, nema_pct;
  };
  const Row row =
      GENERATE(Row{1.02, 0.9901515, 0.9901515, 1.989699}, Row{1.0101485, 1.0101485, 0.98, 2.009701},
               Row{1.01736966, 1.00019998, 0.98273037, 1.736789});
  CHECK(u2(row.a, row.b, row.c) == Approx(2.0).margin(kFromPrintedLines));
  CHECK(nema(row.a, row.b, row.c) == Approx(row.nema_pct).margin(kFromPrintedLines));
}

TEST_CASE("the ratio of negative sequence to unbalance stays within its published band") {
  // Pillay & Manyage print 2-2.3, 5-5.8, 10-11.6, 20-23.8 % for NEMA 2, 5, 10, 20 (V).
  struct Row {
    double nema_pct, low, high;
  };
  const Row row = GENERATE(Row{2, 2, 2.3}, Row{5, 5, 5.8}, Row{10, 10, 11.6}, Row{20, 20, 23.8});
  // All shapes of three lines with this unbalance and mean 1: one at the edge, the second anywhere.
  const double d = row.nema_pct / 100;
  for (const double sign : {-1.0, 1.0}) {
    for (double second = 0; second <= 1.0; second += 0.05) {
      const double x = second * d;
      const double factor = u2(1 + sign * d, 1 - sign * x, 1 - sign * (d - x));
      // The page prints one decimal; the lower ends hold in the small limit only (0.973 at 14 %).
      CHECK(factor >= row.low * (1 - 0.005 * row.nema_pct / 2));
      CHECK(factor <= row.high + 0.15);
    }
  }
}

TEST_CASE("a resistance referred to another temperature follows the inferred-zero rule") {
  // k = 234.5 copper, 225 EC aluminium: V (winding clause of a safety standard); IEEE 112/118: M.
  // Rows: C.
  struct Row {
    double rt, at, to;
    ConductorMaterial material;
    double expected;
  };
  const auto copper = ConductorMaterial::copper;
  const Row row =
      GENERATE_COPY(Row{1.0, 20, 25, copper, 1.01964637}, Row{0.512, 18, 25, copper, 0.52619406},
                    Row{0.512, 18, 40, copper, 0.55660990},
                    Row{2.35, 35, 25, ConductorMaterial::aluminium, 2.25961538},
                    Row{10, 75, 25, copper, 8.38449111}, Row{0.1, -5, 20, copper, 0.11089325});
  const Ohm referred =
      refer_resistance(Ohm{row.rt}, Celsius{row.at}, Celsius{row.to}, row.material);
  CHECK(referred.value() == Approx(row.expected).margin(kPrinted8));
}

TEST_CASE("pairs resolve into the legs of a wye and the windings of a delta") {
  // Resolution in the manner of IEC 60034-2; rows: C.
  struct Row {
    PerPair<Ohm> pair;
    std::array<double, 3> leg, winding;
    double pair_pct, leg_pct, winding_pct;
  };
  const Row row = GENERATE(Row{pairs(1, 1, 1), {.5, .5, .5}, {1.5, 1.5, 1.5}, 0, 0, 0},
                           Row{pairs(1.00, 1.02, 1.01),
                               {.495, .505, .515},
                               {1.48538835, 1.54540404, 1.51480198},
                               0.990099,
                               1.980198,
                               1.99353},
                           Row{pairs(.520, .512, .508),
                               {.258, .262, .250},
                               {.790384, .76587597, .75418321},
                               1.29870,
                               2.59740,
                               2.62758},
                           Row{pairs(.30, .36, .33),
                               {.135, .165, .195},
                               {.41423077, .59833333, .48954545},
                               9.09091,
                               18.18182,
                               19.49861});
  const auto resolved = resolve(row.pair, Connection::delta);
  REQUIRE(resolved);
  REQUIRE(resolved->windings);
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(resolved->legs.at(i).value() == Approx(row.leg.at(i)).margin(1e-12));
    CHECK(resolved->windings->at(i).value() == Approx(row.winding.at(i)).margin(kPrinted8));
  }
  CHECK(resolved->pair_unbalance.value() == Approx(row.pair_pct).margin(kPrinted5));
  CHECK(resolved->leg_unbalance.value() == Approx(row.leg_pct).margin(kPrinted5));
  const auto& w = *resolved->windings;
  CHECK(nema(w[0].value(), w[1].value(), w[2].value()) ==
        Approx(row.winding_pct).margin(kPrinted5));
}

TEST_CASE("a joint in one leg of a half-ohm wye shows this little in the pairs") {
  // C: x = 1, 5, 10, 25 mΩ in a 0.5 Ω/phase wye; heat at 50 A.
  struct Row {
    double x_ohm, pair_pct, heat_w;
  };
  const Row row = GENERATE(Row{.001, 0.06662, 2.5}, Row{.005, 0.33223, 12.5},
                           Row{.010, 0.66225, 25}, Row{.025, 1.63934, 62.5});
  const double x = row.x_ohm;
  const auto resolved = resolve(pairs(1 + x, 1, 1 + x), Connection::wye);
  REQUIRE(resolved);
  CHECK(resolved->pair_unbalance.value() == Approx(row.pair_pct).margin(kPrinted5));
  CHECK(pair_unbalance_from(Ohm{x}, Ohm{0.5}).value() == Approx(row.pair_pct).margin(kPrinted5));
  CHECK(resolved->phase == Phase::one);
  CHECK(resolved->excess.value() == Approx(x).margin(1e-12));
  CHECK(excess_heat(resolved->excess, Ampere{50}).value() == Approx(row.heat_w).margin(1e-9));
}
