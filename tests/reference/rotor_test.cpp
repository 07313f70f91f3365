// Rotors and air gaps against numbers worked out apart from the program. Beside each stands what
// the number is: (V) read in a primary source, (M) from memory, (C) computed apart, by quadrature
// against the closed form or from the definition.
#include "ohmglow/rotor.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <complex>
#include <numbers>

using namespace ohmglow;
using namespace ohmglow::rotor;

namespace {

// Half a unit of the last digit that a table prints.
constexpr double kEightDecimals = 0.5000001e-8;
constexpr double kSevenDecimals = 0.5000001e-7;
constexpr double kNineSignificant = 1e-8;
constexpr double kFourDecimals = 0.500001e-4;

/// F of the pairs, eight angles of the rotor.
std::array<double, 8> turn_of(const Offsets& offsets, int pole_pairs, double k, std::size_t pair) {
  std::array<double, 8> values{};
  for (std::size_t i = 0; i < values.size(); ++i) {
    values.at(i) = inductance_factor(offsets, pole_pairs, k, pair_axis_deg(pair, pole_pairs),
                                     45.0 * static_cast<double>(i));
  }
  return values;
}

void check_turn(const Offsets& offsets, int pole_pairs, double k, std::size_t pair,
                const std::array<double, 8>& expected) {
  const auto values = turn_of(offsets, pole_pairs, k, pair);
  for (std::size_t i = 0; i < values.size(); ++i) {
    INFO("pair " << pair << ", " << 45 * i << " degrees");
    CHECK(std::fabs(values.at(i) - expected.at(i)) <= kSevenDecimals);
  }
}

/// Amplitude of one sequence over a turn.
double sequence_amplitude(const Offsets& offsets, int pole_pairs, double k, int order,
                          bool negative) {
  constexpr int kSteps = 360;
  std::complex<double> sum;
  for (std::size_t pair = 0; pair < 3; ++pair) {
    const double third = 2 * std::numbers::pi / 3 * static_cast<double>(pair);
    const auto weight = negative ? std::polar(1.0, -third) : std::complex<double>(1);
    for (int i = 0; i < kSteps; ++i) {
      sum += weight *
             inductance_factor(offsets, pole_pairs, k, pair_axis_deg(pair, pole_pairs), i) *
             std::polar(1.0, -2 * std::numbers::pi * order * i / kSteps);
    }
  }
  return 2 * std::abs(sum) / (3 * kSteps);
}

AirGapReading gap_at(double position_deg, double mm, double rotor_deg = 0) {
  AirGapReading reading;
  reading.motor = "M";
  reading.end = MotorEnd::drive;
  reading.position_deg = position_deg;
  reading.rotor_deg = rotor_deg;
  reading.gap = Millimetre{mm};
  return reading;
}

std::vector<AirGapReading> round_the_bore(const std::vector<double>& gaps) {
  std::vector<AirGapReading> readings;
  for (std::size_t i = 0; i < gaps.size(); ++i) {
    readings.push_back(
        gap_at(360.0 * static_cast<double>(i) / static_cast<double>(gaps.size()), gaps[i]));
  }
  return readings;
}

}  // namespace

TEST_CASE("the permeance of an eccentric gap is that of the standard expansion") {
  // l0 = 1/√(1 − e²), b = (1 − √(1 − e²))/e: expansion (M), values (C).
  struct Row {
    double e, l0, b, b2, b4, first, second, one_b2, l0_b4;
  };
  const std::vector<Row> table{{0.01, 1.00005000, 0.00500013, 2.50012501e-05, 6.250625e-10,
                                0.01000075, 0.00005001, 1.00002500, 1.00005000},
                               {0.02, 1.00020006, 0.01000100, 1.00020005e-04, 1.000400e-08,
                                0.02000600, 0.00020008, 1.00010002, 1.00020005},
                               {0.05, 1.00125235, 0.02501564, 6.25782473e-04, 3.916037e-07,
                                0.05009395, 0.00125313, 1.00062578, 1.00125196},
                               {0.10, 1.00503782, 0.05012563, 2.51257868e-03, 6.313052e-06,
                                0.10075631, 0.00505047, 1.00251258, 1.00503147},
                               {0.15, 1.01144347, 0.07542669, 5.68918540e-03, 3.236683e-05,
                                0.15257966, 0.01150858, 1.00568919, 1.01141074},
                               {0.20, 1.02062073, 0.10102051, 1.02051443e-02, 1.041450e-04,
                                0.20620726, 0.02083116, 1.01020514, 1.02051443},
                               {0.25, 1.03279556, 0.12701665, 1.61332303e-02, 2.602811e-04,
                                0.26236447, 0.03332466, 1.01613323, 1.03252674},
                               {0.30, 1.04828484, 0.15353600, 2.35733018e-02, 5.557006e-04,
                                0.32189891, 0.04942307, 1.02357330, 1.04770230},
                               {0.40, 1.09108945, 0.20871215, 4.35607626e-02, 1.897540e-03,
                                0.45544726, 0.09505738, 1.04356076, 1.08901907},
                               {0.50, 1.15470054, 0.26794919, 7.17967697e-02, 5.154776e-03,
                                0.61880215, 0.16580754, 1.07179677, 1.14874832}};
  constexpr double kSevenSignificant = 1e-6;
  for (const Row& row : table) {
    INFO("e " << row.e);
    const auto [l0, b] = permeance(row.e);
    CHECK(std::fabs(l0 - row.l0) <= kEightDecimals);
    CHECK(std::fabs(b - row.b) <= kEightDecimals);
    CHECK(b * b == Approx(row.b2).epsilon(kNineSignificant));
    CHECK(std::pow(b, 4) == Approx(row.b4).epsilon(kSevenSignificant));
    CHECK(std::fabs(2 * l0 * b - row.first) <= kEightDecimals);
    CHECK(std::fabs(2 * l0 * b * b - row.second) <= kEightDecimals);
    CHECK(std::fabs(1 + b * b - row.one_b2) <= kEightDecimals);
    CHECK(std::fabs(l0 * (1 - std::pow(b, 4)) - row.l0_b4) <= kEightDecimals);
    CHECK(l0 * (1 - b * b) == Approx(1 + b * b).epsilon(1e-14));
  }
  CHECK(permeance(0).l0 == 1);
  CHECK(permeance(0).b == 0);
}

TEST_CASE("the expansion is the gap's permeance at every angle") {
  // An independent law: the reciprocal of the gap itself.
  const auto [l0, b] = permeance(0.3);
  for (int i = 0; i < 36; ++i) {
    const double x = i * std::numbers::pi / 18;
    double sum = 1;
    for (int n = 1; n < 40; ++n) sum += 2 * std::pow(b, n) * std::cos(n * x);
    CHECK(l0 * sum == Approx(1 / (1 - 0.3 * std::cos(x))).epsilon(1e-12));
  }
}

TEST_CASE("the inductance over a turn is that of the modified winding function") {
  // Model (M), values (C), closed form against quadrature to 4e-16.
  const Offsets fixed{.fixed = 0.2, .fixed_at_deg = 30};
  for (const std::size_t pair : {0U, 1U}) {
    for (const double value : turn_of(fixed, 1, 0, pair)) {
      CHECK(std::fabs(value - 1.0154129) <= kSevenDecimals);
    }
  }
  for (const double value : turn_of(fixed, 1, 0, 2)) {
    CHECK(std::fabs(value - 1.0310363) <= kSevenDecimals);
  }
  const Offsets turning{.turning = 0.2};
  check_turn(
      turning, 1, 0, 0,
      {1.0258285, 1.0116006, 1.0154129, 1.0296409, 1.0258285, 1.0116006, 1.0154129, 1.0296409});
  check_turn(
      turning, 1, 0, 1,
      {1.0102051, 1.0206207, 1.0310363, 1.0206207, 1.0102051, 1.0206207, 1.0310363, 1.0206207});
  check_turn(
      turning, 1, 0, 2,
      {1.0258285, 1.0296409, 1.0154129, 1.0116006, 1.0258285, 1.0296409, 1.0154129, 1.0116006});
  const Offsets both{.fixed = 0.1, .fixed_at_deg = 30, .turning = 0.05};
  check_turn(
      both, 1, 0, 0,
      {1.0097933, 1.0076277, 1.0047318, 1.0024918, 1.0009843, 1.0013998, 1.0047158, 1.0087058});
  check_turn(
      both, 1, 0, 1,
      {1.0066238, 1.0093273, 1.0095027, 1.0061695, 1.0022166, 1.0008187, 1.0018821, 1.0039096});
  check_turn(
      both, 1, 0, 2,
      {1.0158361, 1.0168468, 1.0123652, 1.0063179, 1.0025754, 1.0020516, 1.0047158, 1.0102762});
  for (const std::size_t pair : {0U, 1U, 2U}) {
    check_turn(
        both, 1, 1, pair,
        {1.0053468, 1.0056021, 1.0044137, 1.0024903, 1.0009618, 1.0007112, 1.0018821, 1.0038008});
  }
  check_turn(
      both, 2, 0, 0,
      {1.0107288, 1.0112374, 1.0088619, 1.0049958, 1.0019255, 1.0014231, 1.0037730, 1.0076312});
  check_turn(
      turning, 2, 0, 0,
      {1.0206739, 1.0205676, 1.0206739, 1.0205676, 1.0206739, 1.0205676, 1.0206739, 1.0205676});
}

TEST_CASE("the sequences of a mixed offset have the amplitudes of its DFT") {
  // (C). The table prints nine decimals, the small ones to 1e-8.
  constexpr double kNineDecimals = 0.5000001e-9;
  const Offsets both{.fixed = 0.1, .fixed_at_deg = 30, .turning = 0.05};
  const auto near = [](double value, double expected, double within) {
    INFO(value << " for " << expected);
    CHECK(std::fabs(value - expected) <= within);
  };
  near(sequence_amplitude(both, 1, 0, 1, false), 0.005095481, kNineDecimals);
  near(sequence_amplitude(both, 1, 0, 2, false), 1.935e-5, 0.5001e-8);
  near(sequence_amplitude(both, 1, 0, 0, true), 0.002544556, kNineDecimals);
  near(sequence_amplitude(both, 1, 0, 1, true), 0.002547741, kNineDecimals);
  near(sequence_amplitude(both, 1, 0, 2, true), 0.000645795, kNineDecimals);
  near(sequence_amplitude(both, 1, 1, 1, false), 0.002531681, kNineDecimals);
  near(sequence_amplitude(both, 1, 1, 1, true), 0, 1e-12);
  near(sequence_amplitude(both, 2, 0, 1, false), 0.005095481, kNineDecimals);
  near(sequence_amplitude(both, 2, 0, 1, true), 1.286e-5, 0.5001e-8);
  near(sequence_amplitude(both, 2, 0, 4, true), 4.2e-7, 0.5001e-8);
}

TEST_CASE("an air gap by feeler gauge is held against 5 and 10 %") {
  // Limits (V) ANSI/EASA AR100-2020, 2.12; figures (C).
  struct Row {
    std::vector<double> gaps;
    double mean, deviation_pct, spread_pct, offset_pct, at_deg;
    Conformity two_pole, other;
  };
  const std::vector<Row> table{
      {{1.50, 1.62, 1.70, 1.58},
       1.6,
       6.25,
       12.5,
       6.3738,
       348.69,
       Conformity::fail,
       Conformity::pass},
      {{0.80, 0.85, 0.90, 0.85},
       0.85,
       5.8824,
       11.7647,
       5.8824,
       0,
       Conformity::fail,
       Conformity::pass},
      {{1.44, 1.60, 1.60, 1.76}, 1.6, 10, 20, 7.0711, 45, Conformity::fail, Conformity::pass},
      {{1.00, 1.10, 1.00, 0.90}, 1, 10, 20, 10, 270, Conformity::fail, Conformity::pass},
      {{2.60, 2.72, 2.81, 2.86, 2.80, 2.68, 2.55, 2.50},
       2.69,
       7.0632,
       13.3829,
       6.4146,
       308.14,
       Conformity::fail,
       Conformity::pass}};
  constexpr double kTwoDecimals = 0.50001e-2;
  for (const Row& row : table) {
    const auto readings = round_the_bore(row.gaps);
    INFO(row.gaps.front());
    const auto two_pole = air_gaps(readings, 2);
    const auto other = air_gaps(readings, 4);
    REQUIRE(two_pole.size() == 1);
    REQUIRE(other.size() == 1);
    const AirGap& end = two_pole.front();
    CHECK(std::fabs(end.mean.value() - row.mean) <= kFourDecimals);
    CHECK(std::fabs(end.max_deviation.value() - row.deviation_pct) <= kFourDecimals);
    CHECK(std::fabs(end.spread.value() - row.spread_pct) <= kFourDecimals);
    REQUIRE(end.offset.has_value());
    CHECK(std::fabs(end.offset->size.value() - row.offset_pct) <= kFourDecimals);
    CHECK(std::fabs(std::remainder(end.offset->at_deg - row.at_deg, 360)) <= kTwoDecimals);
    CHECK(end.limit->value() == 5);
    CHECK(other.front().limit->value() == 10);
    CHECK(end.result == row.two_pole);
    CHECK(other.front().result == row.other);
    CHECK_FALSE(end.fixed.has_value());
  }
}

TEST_CASE("the worst share of an offset that the largest deviation shows goes with the places") {
  // (C): cos(180°/n).
  struct Row {
    int places;
    double share;
  };
  for (const auto& [places, share] : std::vector<Row>{{4, 0.7071}, {8, 0.9239}, {12, 0.9659}}) {
    constexpr double kOffset = 0.05;
    std::vector<double> gaps;
    for (int i = 0; i < places; ++i) {
      gaps.push_back(1 - kOffset * std::cos((i + 0.5) * 2 * std::numbers::pi / places));
    }
    const auto ends = air_gaps(round_the_bore(gaps), 4);
    REQUIRE(ends.size() == 1);
    CHECK(std::fabs(ends[0].max_deviation.value() / 100 / kOffset - share) <= kFourDecimals);
    CHECK(ends[0].offset->size.value() == Approx(100 * kOffset).epsilon(1e-12));
  }
}

TEST_CASE("the fixed and the turning part are told apart by four positions of the rotor") {
  // (C): g0 1.6 mm, 0.08 at 250° fixed, 0.05 at 40° turning, readings rounded to 0.01 mm.
  const std::array<std::array<double, 4>, 4> rows{{{1.58, 1.67, 1.62, 1.53},
                                                   {1.70, 1.66, 1.50, 1.54},
                                                   {1.71, 1.77, 1.49, 1.43},
                                                   {1.59, 1.78, 1.61, 1.42}}};
  std::vector<AirGapReading> rounded;
  std::vector<AirGapReading> exact;
  for (std::size_t t = 0; t < 4; ++t) {
    for (std::size_t f = 0; f < 4; ++f) {
      const double place = 90.0 * static_cast<double>(f);
      const double rotor = 90.0 * static_cast<double>(t);
      rounded.push_back(gap_at(place, rows.at(t).at(f), rotor));
      const double degree = std::numbers::pi / 180;
      exact.push_back(gap_at(place,
                             1.6 * (1 - 0.08 * std::cos((place - 250) * degree) -
                                    0.05 * std::cos((place - rotor - 40) * degree)),
                             rotor));
    }
  }
  const auto ends = air_gaps(rounded, 2);
  REQUIRE(ends.size() == 1);
  constexpr double kThreeDecimals_pct = 0.50001e-3;
  constexpr double kTwoDecimals_deg = 0.50001e-2;
  CHECK(std::fabs(ends[0].fixed->size.value() - 8.010) <= kThreeDecimals_pct);
  CHECK(std::fabs(ends[0].fixed->at_deg - 249.44) <= kTwoDecimals_deg);
  CHECK(std::fabs(ends[0].turning->size.value() - 5.102) <= kThreeDecimals_pct);
  CHECK(std::fabs(ends[0].turning->at_deg - 40.03) <= kTwoDecimals_deg);
  const auto unrounded = air_gaps(exact, 2);
  CHECK(unrounded[0].fixed->size.value() == Approx(8).epsilon(1e-12));
  CHECK(unrounded[0].fixed->at_deg == Approx(250).epsilon(1e-12));
  CHECK(unrounded[0].turning->size.value() == Approx(5).epsilon(1e-12));
  CHECK(unrounded[0].turning->at_deg == Approx(40).epsilon(1e-12));
}

TEST_CASE("a standing cage leaves of the gap what the T circuit gives") {
  // (M) for the circuit, (C) for its figures: Xm 3, X1 = X2 0.1, R2 0.02 per unit.
  struct Row {
    double frequency_share;
    double sensitivity;
  };
  for (const auto& [frequency_share, sensitivity] :
       {Row{0.001, 0.923831}, Row{0.005, 0.277586}, Row{0.01, -0.268748}, Row{0.05, -0.156824},
        Row{0.1, -0.036642}, Row{1, 0.015301}, Row{2, 0.015724}, Row{10, 0.015859}}) {
    INFO("at " << frequency_share << " of the rated frequency");
    CHECK(std::fabs(standstill_sensitivity(frequency_share) - sensitivity) <= 0.50001e-6);
  }
}

TEST_CASE("the usual air gap goes with the power to the 0.4") {
  // (M) for the formula of two poles, (V2) for that of more; (C) for the figures, mm.
  struct Row {
    double kw;
    double two_pole_mm;
    double other_mm;
  };
  for (const auto& [kw, two_pole_mm, other_mm] :
       {Row{11, 0.614, 0.428}, Row{110, 1.239, 0.803}, Row{250, 1.643, 1.046},
        Row{1000, 2.712, 1.687}, Row{5000, 4.982, 3.049}}) {
    INFO(kw << " kW");
    CHECK(std::fabs(usual_gap(kw, 2).value() - two_pole_mm) <= 0.50001e-3);
    CHECK(std::fabs(usual_gap(kw, 4).value() - other_mm) <= 0.50001e-3);
  }
}

TEST_CASE("the scatter of a zero-sequence amplitude is 0.136 of a reading's for 36 angles") {
  // (C): σ √(2/(3N)).
  std::vector<SweepReading> rows;
  for (int i = 0; i < 36; ++i) {
    SweepReading row;
    row.angle_deg = 10 * i;
    // A ripple that is neither of the orders: ± 0.1 %.
    const double up = i % 2 == 0 ? 1.001 : 0.999;
    row.inductance = {Henry{up}, Henry{up}, Henry{up}};
    rows.push_back(row);
  }
  Motor motor;
  motor.poles = 2;
  const auto sweep = judge(rows, &motor);
  REQUIRE(sweep.has_value());
  const Harmonic* once = sweep->find(1, Sequence::zero);
  REQUIRE(once != nullptr);
  CHECK(std::fabs(once->u.value() / sweep->scatter.value() - 0.136) <= 0.50001e-3);
}
