#include "offered/vocabulary/number_text.h"
#include "ohmglow/radiometry.h"
#include "radiometry/planck.h"
#include "radiometry/response.h"
#include "radiometry/sakuma_hattori.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <limits>
#include <string>
#include <utility>
#include <variant>

namespace ohmglow::radiometry {
namespace {

/// Distance of the table's nodes. Cubic Hermite errs by about h⁴/384 · L''''/L': under 1 µK for
/// 8-14 µm, and under 0.1 mK down to bands in the visible.
constexpr double kStep_k = 1.0;
constexpr std::size_t kCells = static_cast<std::size_t>(
    (BandRadiance::kHighest.value() - BandRadiance::kLowest.value()) / kStep_k);

/// What the interpolation may err by, in temperature.
constexpr double kMostError_k = 1e-3;

/// A third of the limit below which both ends of a cubic cell may steepen and still rise throughout
/// (Fritsch & Carlson 1980: slopes up to 3 times the secant).
constexpr double kSteepestEnd = 3.0;

/// Bits of the mantissa that the index of cells keeps: 256 bins an octave are narrower than one
/// cell at the temperatures of terminals.
constexpr int kMantissaBits = 8;

std::uint64_t bin_of(double radiance) {
  return std::bit_cast<std::uint64_t>(radiance) >> (52 - kMantissaBits);
}
double lower_edge(std::uint64_t bin) {
  return std::bit_cast<double>(bin << (52 - kMantissaBits));
}

/// The cubic of a cell, s = 0 … 1 across it.
struct Cubic {
  double y;
  double first;
  double second;
  double third;

  Cubic(double y0, double y1, double slope0, double slope1)
      : y(y0),
        first(slope0 * kStep_k),
        second(3 * (y1 - y0) - kStep_k * (2 * slope0 + slope1)),
        third(kStep_k * (slope0 + slope1) - 2 * (y1 - y0)) {}

  [[nodiscard]] double at(double s) const { return y + s * (first + s * (second + s * third)); }
  [[nodiscard]] double slope(double s) const { return first + s * (2 * second + s * 3 * third); }

  /// Where it reaches a value between its ends: Newton, held inside a shrinking bracket.
  [[nodiscard]] double where(double value, double guess) const {
    constexpr double kClose = 1e-12;  // of a cell, far below what a double holds at 1500 °C
    constexpr int kMostSteps = 60;    // bisection alone would be done by then
    double low = 0;
    double high = 1;
    double s = guess;
    for (int i = 0; i < kMostSteps; ++i) {
      const double error = at(s) - value;
      (error > 0 ? high : low) = s;
      double next = s - error / slope(s);
      if (!(next >= low && next <= high)) next = (low + high) / 2;
      const double moved = std::abs(next - s);
      s = next;
      if (moved < kClose) break;
    }
    return s;
  }
};

Kelvin node(double index) {
  return to_kelvin(Celsius{BandRadiance::kLowest.value() + kStep_k * index});
}

/// Up to nine significant digits, as JSON would write it.
std::string short_number(double value) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%.9g", value);
  return text.data();
}

Error unusable_band(Micrometre from, Micrometre to, std::string what) {
  return Error{ErrorKind::invalid_value, std::move(what),
               decimals(from.value(), 3) + " to " + decimals(to.value(), 3) + " µm",
               "two wavelengths in µm, the shorter first, such as 8 to 14",
               "give the band of the camera"};
}

constexpr const char* kTooFaint =
    "a blackbody's radiance in this band is too faint or too narrow to be told apart from -60 to "
    "1500 °C";

}  // namespace

std::optional<BandRadiance> BandRadiance::tabulated(const Law& law) {
  BandRadiance band;
  band.radiance_.reserve(kCells + 1);
  band.slope_.reserve(kCells + 1);
  for (std::size_t i = 0; i <= kCells; ++i) {
    const Value value = law(node(static_cast<double>(i)));
    band.radiance_.push_back(value.radiance);
    band.slope_.push_back(value.slope);
  }
  if (!band.interpolates(law)) return std::nullopt;
  band.index_cells();
  return band;
}

bool BandRadiance::interpolates(const Law& law) const {
  for (std::size_t i = 0; i < kCells; ++i) {
    const double secant = (radiance_[i + 1] - radiance_[i]) / kStep_k;
    if (!(radiance_[i] >= std::numeric_limits<double>::min()) || !(secant > 0)) return false;
    if (!std::isfinite(radiance_[i + 1]) || !std::isfinite(secant)) return false;
    if (!(slope_[i] > 0) || !(slope_[i + 1] > 0)) return false;
    if (std::max(slope_[i], slope_[i + 1]) > kSteepestEnd * secant) return false;
    // The interpolation errs most at the middle of a cell.
    const Cubic cubic(radiance_[i], radiance_[i + 1], slope_[i], slope_[i + 1]);
    const Value exact = law(node(static_cast<double>(i) + 0.5));
    if (!(std::abs(cubic.at(0.5) - exact.radiance) < kMostError_k * exact.slope)) return false;
  }
  return true;
}

void BandRadiance::index_cells() {
  const std::uint64_t first = bin_of(radiance_.front());
  const std::uint64_t last = bin_of(radiance_.back());
  cell_of_bin_.reserve(last - first + 1);
  std::uint16_t cell = 0;
  for (std::uint64_t bin = first; bin <= last; ++bin) {
    while (cell + 1U < kCells && radiance_[cell + 1U] <= lower_edge(bin)) ++cell;
    cell_of_bin_.push_back(cell);
  }
}

Result<BandRadiance> BandRadiance::for_band(Micrometre from, Micrometre to) {
  if (!(from.value() > 0) || !(from < to) || !std::isfinite(to.value()))
    return fail(unusable_band(from, to, "this is not a band of wavelengths"));
  auto band = tabulated([from, to](Kelvin t) {
    const BandValue value = band_value(from, to, t);
    return Value{value.radiance, value.slope};
  });
  if (!band) return fail(unusable_band(from, to, kTooFaint));
  return std::move(*band);
}

Result<BandRadiance> BandRadiance::for_response(const SpectralResponse& response) {
  if (auto error = unusable_response(response.points)) return fail(*error);
  const std::vector<SpectralNode> nodes = quadrature_nodes(response.points);
  auto band = tabulated([&nodes](Kelvin t) {
    const BandValue value = weighted_value(nodes, t);
    return Value{value.radiance, value.slope};
  });
  if (!band)
    return fail(unusable_band(response.points.front().wavelength, response.points.back().wavelength,
                              kTooFaint));
  return std::move(*band);
}

Result<BandRadiance> BandRadiance::from_sakuma_hattori(const SakumaHattori& calibration) {
  const auto& [a, b, c] = calibration;
  const bool positive = a > 0 && c > 0 && a * to_kelvin(kLowest).value() + b > 0;
  std::optional<BandRadiance> band;
  if (positive && std::isfinite(a) && std::isfinite(b) && std::isfinite(c)) {
    band = tabulated([&calibration](Kelvin t) {
      const SakumaHattoriValue value = sakuma_hattori(calibration, t);
      return Value{value.signal, value.by_temperature};
    });
  }
  if (band) return std::move(*band);
  return fail(
      Error{ErrorKind::invalid_value, "the calibration's signal does not rise from -60 to 1500 °C",
            "a_um " + short_number(a) + ", b_um_k " + short_number(b) + ", c " + short_number(c),
            "a_um and c above 0, and a_um × T + b_um_k above 0 at every temperature",
            "fit the calibration anew with: ohmglow calibration"});
}

Result<BandRadiance> BandRadiance::of(const SpectralBand& band) {
  if (band == SpectralBand{FlatBand{}}) return long_wave();
  if (const auto* flat = std::get_if<FlatBand>(&band)) return for_band(flat->from, flat->to);
  if (const auto* response = std::get_if<SpectralResponse>(&band)) return for_response(*response);
  return from_sakuma_hattori(std::get<SakumaHattori>(band));
}

std::optional<Radiance> BandRadiance::radiance(Celsius t) const {
  if (!(t >= kLowest && t <= kHighest)) return std::nullopt;
  const double along = (t - kLowest).value() / kStep_k;
  const std::size_t i = std::min(static_cast<std::size_t>(along), kCells - 1);
  return Radiance{Cubic(radiance_[i], radiance_[i + 1], slope_[i], slope_[i + 1])
                      .at(along - static_cast<double>(i))};
}

std::optional<Celsius> BandRadiance::temperature(Radiance l) const {
  const double value = l.value();
  if (!(value >= radiance_.front() && value <= radiance_.back())) return std::nullopt;
  std::size_t i = cell_of_bin_[bin_of(value) - bin_of(radiance_.front())];
  while (i + 1 < kCells && radiance_[i + 1] <= value) ++i;
  const double guess = (value - radiance_[i]) / (radiance_[i + 1] - radiance_[i]);
  const Cubic cubic(radiance_[i], radiance_[i + 1], slope_[i], slope_[i + 1]);
  const double along = static_cast<double>(i) + cubic.where(value, guess);
  return Celsius{kLowest.value() + kStep_k * along};
}

double BandRadiance::slope(Celsius t) const {
  const double along =
      ((t > kLowest ? std::min(t, kHighest) : kLowest) - kLowest).value() / kStep_k;
  const std::size_t i = std::min(static_cast<std::size_t>(along), kCells - 1);
  return Cubic(radiance_[i], radiance_[i + 1], slope_[i], slope_[i + 1])
             .slope(along - static_cast<double>(i)) /
         kStep_k;
}

const BandRadiance& long_wave() {
  static const BandRadiance band = BandRadiance::for_band(Micrometre{8}, Micrometre{14}).value();
  return band;
}

Sentence text_of(const SpectralBand& band) {
  const auto range = [](Micrometre from, Micrometre to) {
    return sentence("{} to {} µm", short_number(from.value()), short_number(to.value()));
  };
  if (const auto* flat = std::get_if<FlatBand>(&band))
    return sentence("{}, flat", range(flat->from, flat->to));
  if (const auto* response = std::get_if<SpectralResponse>(&band)) {
    Sentence text = sentence("the response of {}", response->file);
    if (response->points.empty()) return text;
    return layout("{}, {}", std::move(text),
                  range(response->points.front().wavelength, response->points.back().wavelength));
  }
  const auto& calibration = std::get<SakumaHattori>(band);
  return sentence("the calibration A = {} µm, B = {} µm K, C = {} (Sakuma–Hattori)",
                  short_number(calibration.a_um), short_number(calibration.b_um_k),
                  short_number(calibration.c));
}

}  // namespace ohmglow::radiometry
