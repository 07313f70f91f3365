// Published and independently computed values of band radiance and the radiation balance.
// "Computed" means: by scipy quadrature with the CODATA 2018 constants, not by this project.

#include "ohmglow/radiometry.h"

#include "../python.h"
#include "radiometry/constants.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::radiometry;

namespace {

/// The printed radiances have nine significant digits.
constexpr double kNineDigits = 6e-9;
/// The printed slopes have six significant digits.
constexpr double kSixDigits = 6e-6;
/// The printed temperatures have three decimals.
constexpr double kPrinted_k = 6e-4;
/// The printed sensitivities have three or four digits.
constexpr double kSensitivityDigits = 6e-4;
/// Of temperatures from the integrals themselves to those from the table, whose interpolation may
/// err by 1 mK.
constexpr double kInterpolation_k = 1e-3;

BandRadiance band(double from, double to) {
  return BandRadiance::for_band(Micrometre{from}, Micrometre{to}).value();
}

struct RadianceRow {
  double t_c;
  double from_8_to_14;
  double from_7_5_to_14;
  double from_7_5_to_13;
  double slope_8_to_14;
  double total;
};

// Computed. W/(m² sr), slope in W/(m² sr K), total = σT⁴/π.
constexpr std::array<RadianceRow, 18> kRadiances{{
    {-40, 15.1893241, 15.9310729, 13.1566633, 0.368843, 53.3339247},
    {-20, 23.824685, 25.2160524, 21.2156583, 0.49705, 74.1265164},
    {0, 35.151962, 37.5329528, 32.0570098, 0.637354, 100.477005},
    {10, 41.8911794, 44.9188691, 38.6138755, 0.710787, 116.018736},
    {20, 49.3728948, 53.1606803, 45.9675801, 0.785779, 133.297332},
    {25, 53.3965389, 57.609536, 49.950727, 0.823722, 142.626794},
    {30, 57.6104927, 62.2801349, 54.14146, 0.861894, 152.437618},
    {40, 66.6131873, 72.2941259, 63.1541291, 0.938734, 173.568747},
    {50, 76.3863816, 83.2150023, 73.0197477, 1.01594, 196.824205},
    {60, 86.9320366, 95.0509123, 83.7483319, 1.09318, 222.341809},
    {80, 110.333566, 121.481594, 107.815746, 1.24664, 280.736387},
    {100, 136.778339, 151.581115, 135.366436, 1.39723, 349.94166},
    {120, 166.193924, 185.300113, 166.365746, 1.54352, 431.216116},
    {150, 215.672307, 242.475794, 219.171848, 1.75286, 578.681029},
    {200, 311.429399, 354.37337, 323.117067, 2.07071, 904.601371},
    {250, 422.068867, 485.148238, 445.246243, 2.34824, 1351.96915},
    {300, 545.617245, 632.540704, 583.43424, 2.58766, 1947.75824},
    {500, 1136.11549, 1348.56552, 1258.84703, 3.2503, 6449.36423},
}};

struct FractionRow {
  double um_k;
  double exact;
  std::optional<double> handbook;
};

// Exact: computed. Handbook: Incropera & DeWitt, table 12.1 (6th ed.), from memory; its entry at
// 5200 µm K as remembered is off by 1e-3, so a misprint or a slip of memory, and is left out.
const std::vector<FractionRow> kFractions{
    {1000, 0.00032077, 0.000321},  {1400, 0.00779039, 0.007790},  {1800, 0.03934216, 0.039341},
    {2000, 0.06672994, 0.066728},  {2200, 0.10088975, 0.100888},  {2400, 0.14025738, 0.140256},
    {2600, 0.18312061, 0.183120},  {2800, 0.22788963, 0.227897},  {2898, 0.25010629, 0.250108},
    {3000, 0.27322926, 0.273232},  {3400, 0.36172889, 0.361735},  {3600, 0.40359847, 0.403607},
    {4000, 0.48086464, 0.480877},  {4400, 0.54878003, 0.548796},  {5000, 0.63372587, 0.633747},
    {5200, 0.65794734, {}},        {5800, 0.72013128, 0.720158},  {6000, 0.73778942, 0.737818},
    {7000, 0.80807497, 0.808109},  {8000, 0.85625069, 0.856288},  {10000, 0.91415697, 0.914199},
    {12000, 0.94505327, 0.945098}, {20000, 0.98555384, 0.985602}, {100000, 0.99985521, 0.999905},
};

struct BalanceRow {
  std::string name;
  double apparent_c;
  Scene scene;
  double signal;
  std::optional<double> object_c;
};

Scene scene(double eps, double reflected, double tau_a, double air) {
  Scene result;
  result.emissivity = Emissivity{eps};
  result.reflected = Celsius{reflected};
  result.atmosphere_transmittance = Fraction{tau_a};
  result.air = Celsius{air};
  return result;
}

Scene behind_window(Scene open, double tau_w, double rho_w, double window, double reflected_c) {
  open.window_transmittance = Fraction{tau_w};
  open.window_reflectance = Fraction{rho_w};
  open.window = Celsius{window};
  open.window_reflected = Celsius{reflected_c};
  return open;
}

// Computed from the textbook form of the balance (Vollmer & Möllmann, Infrared Thermal Imaging,
// ch. 2; Minkina & Dudzik, Infrared Thermography; the form from memory).
const std::vector<BalanceRow> kBalances{
    {"A1", 60, scene(1, 20, 1, 20), 86.93203657, 60.000},
    {"A2", 60, scene(.95, 20, 1, 20), 86.93203657, 61.797},
    {"A3", 60, scene(.95, 40, 1, 20), 86.93203657, 60.975},
    {"A4", 60, scene(.80, 25, 1, 20), 86.93203657, 67.472},
    {"A5", 45, scene(.50, 25, 1, 25), 71.40327317, 62.249},
    {"A6", 30, scene(.20, 22, 1, 22), 57.61049265, 57.492},
    {"A7", 28, scene(.10, 35, 1, 22), 55.90200298, {}},  // -119.944 °C, below the table
    {"A8", 85, scene(.90, 20, .95, 15), 116.66179624, 93.829},
    {"A9", 85, behind_window(scene(.90, 20, .98, 35), .80, 0, 30, 20), 116.66179624, 103.782},
    {"A10", 55, behind_window(scene(.95, 25, 1, 25), .85, .05, 28, 24), 81.56265328, 60.990},
    {"A11", 120, behind_window(scene(.60, 30, .97, 25), .70, .10, 35, 25), 166.19392445, 205.652},
    {"A12", 150, scene(.30, 20, 1, 20), 215.67230668, 322.041},
    {"A13", 20, scene(.95, 40, 1, 20), 49.37289478, 18.839},
    {"A14", 5, scene(.90, -40, .92, 10), 38.42976725, 8.277},
};

struct ReevaluationRow {
  double stored_c;
  SavedAs saved;
  double emissivity;
  double reflected_c;
  double signal;
  double object_c;
};

// Computed: a temperature saved with one emissivity, evaluated again with another.
const std::vector<ReevaluationRow> kReevaluations{
    {80, {Emissivity{.95}, Celsius{20}}, .95, 20, 107.28553232, 80.000},
    {80, {Emissivity{.95}, Celsius{20}}, 1.0, 20, 107.28553232, 77.536},
    {80, {Emissivity{.95}, Celsius{20}}, .90, 20, 107.28553232, 82.695},
    {80, {Emissivity{.95}, Celsius{20}}, .80, 20, 107.28553232, 88.926},
    {80, {Emissivity{.95}, Celsius{20}}, .80, 35, 107.28553232, 86.504},
    {80, {Emissivity{.95}, Celsius{20}}, .60, 20, 107.28553232, 106.415},
    {80, {Emissivity{.95}, Celsius{20}}, .30, 20, 107.28553232, 164.837},
    {60, {Emissivity{.95}, Celsius{25}}, .70, 25, 85.25526169, 70.563},
    {45, {Emissivity{.95}, Celsius{25}}, .20, 25, 70.50293645, 101.533},
    {150, {Emissivity{.95}, Celsius{20}}, .78, 30, 207.35733609, 168.689},
    {25, {Emissivity{.95}, Celsius{30}}, .60, 30, 53.60723657, 21.974},
    {120, {Emissivity{.95}, Celsius{20}}, .10, 20, 160.35287297, 507.075},
    {80, {Emissivity{.80}, Celsius{20}}, .95, 20, 98.14143165, 72.087},
};

double reevaluated(double stored_c, const SavedAs& saved, double emissivity, double reflected_c) {
  const auto signal = apparent_radiance(long_wave(), Celsius{stored_c}, saved);
  return object_temperature(long_wave(), *signal, scene(emissivity, reflected_c, 1, 20))->value();
}

}  // namespace

TEST_CASE("the radiation constants are those of CODATA 2018") {
  // CODATA 2018 recommended values, printed to ten digits: c1L 1.191042972e-16 W m² sr⁻¹,
  // c2 1.438776877e-2 m K.
  constexpr double kTenDigits = 5e-10;
  CHECK(kFirstRadiance_w_m2_sr == Approx(1.191042972e-16).epsilon(kTenDigits));
  CHECK(kSecond_m_k == Approx(1.438776877e-2).epsilon(kTenDigits));
}

TEST_CASE("band radiances are those of direct integration in three bands") {
  // Computed by scipy.integrate.quad; the series agreed to 1e-12.
  const BandRadiance b8_14 = band(8, 14);
  const BandRadiance b7_5_14 = band(7.5, 14);
  const BandRadiance b7_5_13 = band(7.5, 13);
  for (const RadianceRow& row : kRadiances) {
    CAPTURE(row.t_c);
    const Celsius t{row.t_c};
    CHECK(b8_14.radiance(t)->value() == Approx(row.from_8_to_14).epsilon(kNineDigits));
    CHECK(b7_5_14.radiance(t)->value() == Approx(row.from_7_5_to_14).epsilon(kNineDigits));
    CHECK(b7_5_13.radiance(t)->value() == Approx(row.from_7_5_to_13).epsilon(kNineDigits));
    CHECK(b8_14.slope(t) == Approx(row.slope_8_to_14).epsilon(kSixDigits));
  }
}

TEST_CASE("a band that holds nearly everything radiates what Stefan and Boltzmann say") {
  // Computed: σT⁴/π with σ = 5.670374419e-8 W m⁻² K⁻⁴ (CODATA 2018), less the share outside the
  // band by the fractions that are checked below.
  const BandRadiance wide = band(1, 1000);
  for (const RadianceRow& row : kRadiances) {
    CAPTURE(row.t_c);
    const double t_k = to_kelvin(Celsius{row.t_c}).value();
    const double share = blackbody_fraction(1000 * t_k) - blackbody_fraction(1 * t_k);
    CHECK(wide.radiance(Celsius{row.t_c})->value() ==
          Approx(row.total * share).epsilon(kNineDigits));
    CHECK(share == Approx(1).epsilon(0).margin(1e-3));
  }
}

TEST_CASE("blackbody fractions are those of direct integration") {
  // Computed by scipy, printed to eight decimals.
  for (const FractionRow& row : kFractions) {
    CAPTURE(row.um_k);
    CHECK(blackbody_fraction(row.um_k) == Approx(row.exact).epsilon(0).margin(6e-9));
  }
}

TEST_CASE("blackbody fractions are those of the handbook table") {
  // Incropera & DeWitt, table 12.1 (6th ed.), from memory. The book drifts by 5e-5 at its upper
  // end.
  constexpr double kHandbookDrift = 6e-5;
  for (const FractionRow& row : kFractions) {
    if (!row.handbook) continue;
    CAPTURE(row.um_k);
    CHECK(blackbody_fraction(row.um_k) == Approx(*row.handbook).epsilon(0).margin(kHandbookDrift));
  }
}

TEST_CASE("the balance gives the object temperatures A1 to A14") {
  for (const BalanceRow& row : kBalances) {
    CAPTURE(row.name);
    const auto signal = long_wave().radiance(Celsius{row.apparent_c});
    CHECK(signal->value() == Approx(row.signal).epsilon(kNineDigits));
    const auto object = object_temperature(long_wave(), *signal, row.scene);
    REQUIRE(object.has_value() == row.object_c.has_value());
    if (object) CHECK(object->value() == Approx(*row.object_c).epsilon(0).margin(kPrinted_k));
  }
}

TEST_CASE("a temperature saved with another emissivity is evaluated again") {
  for (const ReevaluationRow& row : kReevaluations) {
    CAPTURE(row.stored_c, row.emissivity, row.reflected_c);
    const auto signal = apparent_radiance(long_wave(), Celsius{row.stored_c}, row.saved);
    CHECK(signal->value() == Approx(row.signal).epsilon(kNineDigits));
    CHECK(reevaluated(row.stored_c, row.saved, row.emissivity, row.reflected_c) ==
          Approx(row.object_c).epsilon(0).margin(kPrinted_k));
  }
}

TEST_CASE("a lower emissivity widens the difference of two lugs by the published amounts") {
  // Computed: lugs stored as 52 and 40 °C at emissivity 0.95, reflected 20 °C.
  struct Row {
    double emissivity;
    double hot_c;
    double cool_c;
    double rise_k;
  };
  constexpr std::array<Row, 5> kRows{{{.90, 53.5563, 41.0161, 12.5402},
                                      {.80, 57.1825, 43.3962, 13.7863},
                                      {.60, 67.5332, 50.2789, 17.2543},
                                      {.40, 86.3418, 63.0648, 23.2770},
                                      {.20, 133.3357, 96.0112, 37.3245}}};
  constexpr double kFourDecimals = 1.1e-4;
  const SavedAs saved{Emissivity{.95}, Celsius{20}};
  for (const Row& row : kRows) {
    CAPTURE(row.emissivity);
    const double hot = reevaluated(52, saved, row.emissivity, 20);
    const double cool = reevaluated(40, saved, row.emissivity, 20);
    CHECK(hot == Approx(row.hot_c).epsilon(0).margin(kFourDecimals));
    CHECK(cool == Approx(row.cool_c).epsilon(0).margin(kFourDecimals));
    CHECK(hot - cool == Approx(row.rise_k).epsilon(0).margin(kFourDecimals));
  }
}

TEST_CASE("the sensitivities to emissivity and reflected temperature are the computed ones") {
  // Computed: object 60 °C, reflected 20 °C; kelvin per +0.05 of emissivity and per +1 K reflected.
  struct Row {
    double emissivity;
    double per_0_05;
    double per_reflected_k;
  };
  constexpr std::array<Row, 3> kRows{
      {{.95, -1.808, -0.0378}, {.60, -2.863, -0.479}, {.20, -8.590, -2.875}}};
  for (const Row& row : kRows) {
    CAPTURE(row.emissivity);
    const Scene at = scene(row.emissivity, 20, 1, 20);
    const auto signal = received_radiance(long_wave(), Celsius{60}, at);
    const auto stored = long_wave().temperature(*signal);
    const Sensitivities d = sensitivities(long_wave(), *stored, SavedAs{}, Celsius{60}, at);
    CHECK(d.emissivity * 0.05 == Approx(row.per_0_05).epsilon(0).margin(kSensitivityDigits));
    CHECK(d.reflected == Approx(row.per_reflected_k).epsilon(0).margin(kSensitivityDigits));
  }
}

TEST_CASE("sixty random scenes come out as a root finder over the integrals has them") {
  // scipy.integrate.quad over Planck's law with scipy.constants, inverted by scipy.optimize.brentq.
  const std::vector<double> numbers = numbers_from_python("balance", R"py(
import numpy as np
from scipy import constants, integrate, optimize
c1, c2 = 2 * constants.h * constants.c**2, constants.h * constants.c / constants.k
def band(t, low=8e-6, high=14e-6):
    return integrate.quad(lambda w: c1 / w**5 / np.expm1(c2 / (w * (t + 273.15))), low, high,
                          epsabs=0, epsrel=1e-12)[0]
rng = np.random.default_rng(2194)
count = 0
while count < 60:
    stored, eps_s, refl_s = rng.uniform(0, 400), rng.uniform(.5, 1), rng.uniform(-20, 60)
    eps, refl, tau_a, air = rng.uniform(.1, 1), rng.uniform(-40, 80), rng.uniform(.7, 1), rng.uniform(-20, 45)
    tau_w = rng.uniform(.5, .95)
    rho_w = rng.uniform(0, 1 - tau_w)
    window, side = rng.uniform(0, 60), rng.uniform(10, 40)
    signal = eps_s * band(stored) + (1 - eps_s) * band(refl_s)
    def left(t):
        return (tau_w * (tau_a * (eps * band(t) + (1 - eps) * band(refl)) + (1 - tau_a) * band(air))
                + (1 - tau_w - rho_w) * band(window) + rho_w * band(side) - signal)
    if left(-59) > 0 or left(1499) < 0:
        continue
    count += 1
    print(*(repr(float(x)) for x in (stored, eps_s, refl_s, eps, refl, tau_a, air, tau_w, rho_w,
            window, side, optimize.brentq(left, -60, 1500, xtol=1e-10))))
)py");
  constexpr std::size_t kColumns = 12;
  REQUIRE(numbers.size() == 60 * kColumns);
  for (std::size_t i = 0; i < numbers.size(); i += kColumns) {
    const double* n = &numbers[i];
    CAPTURE(n[0], n[3], n[7], n[11]);
    const auto signal =
        apparent_radiance(long_wave(), Celsius{n[0]}, {Emissivity{n[1]}, Celsius{n[2]}});
    REQUIRE(signal);
    const Scene at = behind_window(scene(n[3], n[4], n[5], n[6]), n[7], n[8], n[9], n[10]);
    const auto object = object_temperature(long_wave(), *signal, at);
    REQUIRE(object);
    CHECK(object->value() == Approx(n[11]).epsilon(0).margin(kInterpolation_k));
  }
}

TEST_CASE("the inverse agrees with the Sakuma-Hattori equation within its fit") {
  // Planckian form recommended by BIPM CCT-WG5 (2008) below 960 °C (read); coefficients by a least
  // squares fit to the integrals from -20 to 250 °C, greatest deviation as given (computed).
  struct Fit {
    double from_um;
    double to_um;
    double a_um;
    double b_um_k;
    double c;
    double worst_k;
  };
  constexpr std::array<Fit, 3> kFits{{{8, 14, 9.335907, 178.7685, 6815.4168, 0.0053},
                                      {7.5, 14, 8.780096, 216.0066, 9178.4803, 0.0042},
                                      {7.5, 13, 8.748128, 173.0868, 8762.8149, 0.0047}}};
  constexpr double kLastDigits_k = 2e-4;  // what the printed coefficients leave open
  const double c2_um_k = kSecond_m_k * kMicrometresPerMetre;
  for (const Fit& fit : kFits) {
    const BandRadiance table = band(fit.from_um, fit.to_um);
    for (double t_c = -20; t_c <= 250; t_c += 0.75) {
      CAPTURE(fit.from_um, fit.to_um, t_c);
      const double signal =
          fit.c / std::expm1(c2_um_k / (fit.a_um * (t_c + kCelsiusZeroInKelvin) + fit.b_um_k));
      CHECK(table.temperature(Radiance{signal})->value() ==
            Approx(t_c).epsilon(0).margin(fit.worst_k + kLastDigits_k));
    }
  }
}
