#include "rotor/sweep_model.h"

#include "angles.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmglow::rotor {
namespace {

constexpr int kPairs = 3;
constexpr double kDegreesPerTurn = 360;
// From pair to pair a third of a turn of the pattern.
const std::complex<double> kThird = std::polar(1.0, 2 * std::numbers::pi / 3);

// Columns of a pair: its mean, then cosine and sine of each order.
int columns_of(const std::vector<int>& orders) {
  return 1 + 2 * static_cast<int>(orders.size());
}

}  // namespace

bool SweepFit::has(int order) const {
  return std::find(orders.begin(), orders.end(), order) != orders.end();
}

Phasor SweepFit::phasor(int order, Sequence sequence) const {
  const int columns = columns_of(orders);
  const auto at = std::find(orders.begin(), orders.end(), order);
  const int first = order == 0 ? 0 : 1 + 2 * static_cast<int>(at - orders.begin());
  std::complex<double> sum;
  double cofactors = 0;  // of either part: the mean of both
  for (int pair = 0; pair < kPairs; ++pair) {
    const int cosine = pair * columns + first;
    // A reading's harmonic a cos mt + b sin mt has the phasor a − jb.
    const double imaginary = order == 0 ? 0 : -fit.parameters.at<double>(cosine + 1);
    const std::complex<double> its(fit.parameters.at<double>(cosine), imaginary);
    const std::complex<double> weight =
        sequence == Sequence::zero ? 1.0 : std::pow(kThird, (kPairs - pair) % kPairs);
    sum += weight * its;
    const double own = fit.cofactors.at<double>(cosine, cosine);
    const double other = order == 0 ? 0 : fit.cofactors.at<double>(cosine + 1, cosine + 1);
    cofactors += (own + other) / 2;
  }
  // Of the means 2|H| is the amplitude, as of the harmonics, whose phasors are 2H already.
  const double scale = (order == 0 ? 2.0 : 1.0) / kPairs;
  return {scale * sum / common_mean, scatter * scale * std::sqrt(cofactors)};
}

std::optional<SweepFit> fit_sweep(std::span<const SweepReading> readings,
                                  const std::vector<int>& orders, bool with_drift) {
  const int columns = columns_of(orders);
  const int rows = kPairs * static_cast<int>(readings.size());
  cv::Mat design = cv::Mat::zeros(rows, kPairs * columns + (with_drift ? 1 : 0), CV_64F);
  cv::Mat values(rows, 1, CV_64F);
  double middle_deg = 0;
  for (const SweepReading& reading : readings) {
    middle_deg += reading.angle_deg / static_cast<double>(readings.size());
  }
  int row = 0;
  for (const SweepReading& reading : readings) {
    for (int pair = 0; pair < kPairs; ++pair, ++row) {
      int column = pair * columns;
      design.at<double>(row, column++) = 1;
      for (const int order : orders) {
        const double angle = order * reading.angle_deg * kRadianPerDegree;
        design.at<double>(row, column++) = std::cos(angle);
        design.at<double>(row, column++) = std::sin(angle);
      }
      if (with_drift) {
        design.at<double>(row, kPairs * columns) =
            (reading.angle_deg - middle_deg) / kDegreesPerTurn;
      }
      values.at<double>(row) = reading.inductance.at(static_cast<std::size_t>(pair)).value();
    }
  }
  auto solved = least_squares(design, values);
  if (!solved || solved->freedom < 1) return std::nullopt;
  SweepFit fit;
  fit.fit = std::move(*solved);
  fit.orders = orders;
  for (int pair = 0; pair < kPairs; ++pair) {
    fit.means.at(static_cast<std::size_t>(pair)) = fit.fit.parameters.at<double>(pair * columns);
    fit.common_mean += fit.fit.parameters.at<double>(pair * columns) / kPairs;
  }
  fit.scatter = std::sqrt(fit.fit.variance) / fit.common_mean;
  if (with_drift) {
    const int last = kPairs * columns;
    fit.drift = fit.fit.parameters.at<double>(last) / fit.common_mean;
    fit.drift_u = fit.scatter * std::sqrt(fit.fit.cofactors.at<double>(last, last));
  }
  return fit;
}

}  // namespace ohmglow::rotor
