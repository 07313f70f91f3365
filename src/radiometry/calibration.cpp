#include "offered/radiometry/calibration.h"

#include "offered/vocabulary/number_text.h"
#include "ohmglow/radiometry.h"
#include "radiometry/constants.h"
#include "radiometry/sakuma_hattori.h"

#include <algorithm>
#include <cmath>
#include <exception>
#include <limits>
#include <opencv2/core.hpp>
#include <string>
#include <tuple>

namespace ohmglow::radiometry {
namespace {

constexpr double kC2_um_k = kSecond_m_k * kMicrometresPerMetre;
constexpr int kCoefficients = 3;
constexpr int kMostSteps = 500;
constexpr double kLightDamping = 1e-3;

Error unusable(ErrorKind kind, std::string what, std::string found, std::string expected,
               std::string mend) {
  return Error{kind, std::move(what), std::move(found), std::move(expected), std::move(mend)};
}

/// Signals at equal temperatures are repeats: their means must rise.
std::optional<Error> not_rising(std::vector<CalibrationPoint> points) {
  std::sort(points.begin(), points.end(), [](const auto& a, const auto& b) {
    return a.temperature.value() < b.temperature.value();
  });
  std::size_t levels = 0;
  double last = 0;
  for (std::size_t i = 0; i < points.size();) {
    double sum = 0;
    std::size_t next = i;
    while (next < points.size() && points[next].temperature == points[i].temperature)
      sum += points[next++].signal;
    const double mean = sum / static_cast<double>(next - i);
    if (!(mean > last))
      return unusable(ErrorKind::invalid_value, "the signal does not rise with the temperature",
                      decimals(mean, 4) + " at " + decimals(points[i].temperature.value(), 2) +
                          " °C after " + decimals(last, 4),
                      "a larger signal at every higher temperature",
                      "check that row, and whether the columns are exchanged");
    last = mean;
    i = next;
    ++levels;
  }
  if (levels >= kLeastCalibrationPoints) return std::nullopt;
  return unusable(ErrorKind::missing, "too few calibration points",
                  std::to_string(levels) + " different temperatures",
                  "at least " + std::to_string(kLeastCalibrationPoints) +
                      ": three coefficients, and one more to hold them to account",
                  "add points over the range that is to be measured");
}

std::optional<Error> unusable_points(const std::vector<CalibrationPoint>& points) {
  if (points.size() > kMostCalibrationPoints)
    return unusable(ErrorKind::too_large, "too many calibration points",
                    std::to_string(points.size()),
                    "at most " + std::to_string(kMostCalibrationPoints), "average repeats");
  const auto with_u = std::count_if(points.begin(), points.end(),
                                    [](const auto& point) { return point.u_signal.has_value(); });
  if (with_u != 0 && with_u != static_cast<std::ptrdiff_t>(points.size()))
    return unusable(ErrorKind::invalid_value, "u_signal is given for some points only",
                    std::to_string(with_u) + " of " + std::to_string(points.size()),
                    "it for every point or for none", "fill in the column or leave it out");
  for (const CalibrationPoint& point : points) {
    const double t_c = point.temperature.value();
    if (!(t_c > -kCelsiusZeroInKelvin) || !std::isfinite(t_c))
      return unusable(ErrorKind::invalid_value, "a temperature cannot be", decimals(t_c, 2) + " °C",
                      "more than −273.15 °C", "correct the row");
    if (!(point.signal > 0) || !std::isfinite(point.signal))
      return unusable(ErrorKind::invalid_value, "a signal is not above 0",
                      decimals(point.signal, 4) + " at " + decimals(t_c, 2) + " °C",
                      "a signal that is 0 without radiation",
                      "subtract the signal's offset from every row");
    if (point.u_signal && (!(*point.u_signal > 0) || !std::isfinite(*point.u_signal)))
      return unusable(ErrorKind::invalid_value, "an uncertainty is not above 0",
                      decimals(*point.u_signal, 6) + " at " + decimals(t_c, 2) + " °C",
                      "a standard uncertainty in the unit of the signal", "correct the row");
  }
  return not_rising(points);
}

/// The fit in A, B and ln C, which are all of a size that a solver likes.
class Fit {
 public:
  explicit Fit(const std::vector<CalibrationPoint>& points) : points_(points) {
    // Wien's law with B = 0 through the coldest and the hottest point.
    const auto [cold, hot] = std::minmax_element(
        points.begin(), points.end(),
        [](const auto& a, const auto& b) { return a.temperature.value() < b.temperature.value(); });
    const double cold_k = to_kelvin(cold->temperature).value();
    const double hot_k = to_kelvin(hot->temperature).value();
    const double steepness = std::log(hot->signal / cold->signal) / (1 / cold_k - 1 / hot_k);
    a_ = kC2_um_k / steepness;
    log_c_ = std::log(hot->signal) + std::log(std::expm1(kC2_um_k / (a_ * hot_k)));
  }

  /// False where the steps do not come to rest within kMostSteps.
  bool settle() {
    double damping = 1e-3;
    double sum = squares();
    for (int i = 0; i < kMostSteps; ++i) {
      linearize();
      const cv::Mat step = damped_step(damping);
      const std::array<double, 3> before{a_, b_, log_c_};
      a_ += step.at<double>(0);
      b_ += step.at<double>(1);
      log_c_ += step.at<double>(2);
      const double next = is_possible() ? squares() : std::numeric_limits<double>::infinity();
      const bool still = std::abs(sum - next) <= rounding_of(sum);
      if (next > sum) std::tie(a_, b_, log_c_) = std::tie(before[0], before[1], before[2]);
      // A step that hardly was damped and changed nothing is the last.
      if (still && damping < kLightDamping) return true;
      damping = next > sum ? damping * 10 : std::max(damping / 5, 1e-15);
      sum = std::min(sum, next);
    }
    return false;
  }

  [[nodiscard]] SakumaHattori coefficients() const { return {a_, b_, std::exp(log_c_)}; }

  [[nodiscard]] double squares() const {
    double sum = 0;
    for (const CalibrationPoint& point : points_) {
      const double miss = (point.signal - value_at(point).signal) / weight_u(point);
      sum += miss * miss;
    }
    return sum;
  }

  /// Of A, B and C, for points whose uncertainties are the weights' own.
  [[nodiscard]] cv::Matx33d covariance() {
    linearize();
    scale_columns();
    const cv::SVD parts(jacobian_, cv::SVD::MODIFY_A);
    cv::Matx33d result = cv::Matx33d::zeros();
    const double c = std::exp(log_c_);
    const std::array<double, 3> unit{1, 1, c};
    for (int i = 0; i < kCoefficients; ++i) {
      for (int j = 0; j < kCoefficients; ++j) {
        for (int k = 0; k < kCoefficients; ++k) {
          const double w = parts.w.at<double>(k);
          result(i, j) += parts.vt.at<double>(k, i) * parts.vt.at<double>(k, j) / (w * w);
        }
        result(i, j) *= unit.at(i) * unit.at(j) / (scale_(i) * scale_(j));
      }
    }
    return result;
  }

 private:
  /// What the last digits of the signals leave open in a sum of squares.
  [[nodiscard]] double rounding_of(double sum) const {
    constexpr double kDigits = 1e-14;
    double largest = 0;
    for (const CalibrationPoint& point : points_)
      largest = std::max(largest, point.signal / weight_u(point));
    const double miss = kDigits * largest;
    const auto n = static_cast<double>(points_.size());
    return miss * std::sqrt(n * sum) + n * miss * miss;
  }
  [[nodiscard]] bool is_possible() const {
    return a_ > 0 && std::isfinite(a_) && std::isfinite(b_) && std::abs(log_c_) < 700 &&
           std::all_of(points_.begin(), points_.end(), [this](const auto& point) {
             return a_ * to_kelvin(point.temperature).value() + b_ > 0;
           });
  }
  [[nodiscard]] SakumaHattoriValue value_at(const CalibrationPoint& point) const {
    return sakuma_hattori(coefficients(), to_kelvin(point.temperature));
  }
  [[nodiscard]] static double weight_u(const CalibrationPoint& point) {
    return point.u_signal.value_or(point.signal);
  }

  void linearize() {
    const int rows = static_cast<int>(points_.size());
    jacobian_.create(rows, kCoefficients, CV_64F);
    misses_.create(rows, 1, CV_64F);
    for (int i = 0; i < rows; ++i) {
      const CalibrationPoint& point = points_[i];
      const SakumaHattoriValue value = value_at(point);
      const double u = weight_u(point);
      auto* row = jacobian_.ptr<double>(i);
      row[0] = value.by_a / u;
      row[1] = value.by_b / u;
      row[2] = value.signal / u;
      misses_.at<double>(i) = (point.signal - value.signal) / u;
    }
  }

  void scale_columns() {
    for (int k = 0; k < kCoefficients; ++k) {
      scale_(k) = cv::norm(jacobian_.col(k));
      jacobian_.col(k) /= scale_(k);
    }
  }

  /// Marquardt's damping as rows of their own, so that the solver sees no squared matrix.
  cv::Mat damped_step(double damping) {
    scale_columns();
    cv::Mat system;
    cv::vconcat(jacobian_, cv::Mat(std::sqrt(damping) * cv::Mat::eye(3, 3, CV_64F)), system);
    cv::Mat right;
    cv::vconcat(misses_, cv::Mat(cv::Mat::zeros(3, 1, CV_64F)), right);
    cv::Mat step;
    cv::solve(system, right, step, cv::DECOMP_SVD);
    for (int k = 0; k < kCoefficients; ++k) step.at<double>(k) /= scale_(k);
    return step;
  }

  const std::vector<CalibrationPoint>& points_;
  double a_ = 0;
  double b_ = 0;
  double log_c_ = 0;
  cv::Mat jacobian_;
  cv::Mat misses_;
  cv::Vec3d scale_;
};

Error no_fit(std::string what) {
  return unusable(ErrorKind::not_measurable, std::move(what), {},
                  "points that follow a blackbody's signal",
                  "check the temperatures, and that the signal's offset was subtracted");
}

}  // namespace

std::optional<Celsius> temperature_of_signal(const SakumaHattori& calibration, double signal) {
  if (!(signal > 0)) return std::nullopt;
  const double argument_um_k = kC2_um_k / std::log1p(calibration.c / signal);
  return to_celsius(Kelvin{(argument_um_k - calibration.b_um_k) / calibration.a_um});
}

Result<CalibrationFit> fit_sakuma_hattori(const std::vector<CalibrationPoint>& points) {
  if (auto error = unusable_points(points)) return fail(*error);
  try {
    Fit fit(points);
    if (!fit.settle()) return fail(no_fit("the fit of the calibration does not settle"));
    CalibrationFit result;
    result.coefficients = fit.coefficients();
    if (const auto tried = BandRadiance::from_sakuma_hattori(result.coefficients); !tried)
      return fail(no_fit(tried.error().what));
    result.degrees_of_freedom = points.size() - kCoefficients;
    result.chi_square = fit.squares();
    // Without uncertainties of their own the points' scatter about the fit stands for them.
    const double scatter = points.front().u_signal
                               ? 1
                               : result.chi_square / static_cast<double>(result.degrees_of_freedom);
    const cv::Matx33d covariance = fit.covariance();
    for (std::size_t i = 0; i < kCoefficients; ++i) {
      for (std::size_t j = 0; j < kCoefficients; ++j) {
        result.covariance.at(i).at(j) =
            scatter * covariance(static_cast<int>(i), static_cast<int>(j));
      }
      result.u.at(i) = std::sqrt(result.covariance.at(i).at(i));
    }
    double squares = 0;
    for (const CalibrationPoint& point : points) {
      const auto by_fit = temperature_of_signal(result.coefficients, point.signal);
      const double residual_k = (*by_fit - point.temperature).value();
      result.residuals_k.push_back(residual_k);
      result.worst_k = std::max(result.worst_k, std::abs(residual_k));
      squares += residual_k * residual_k;
    }
    result.rms_k = std::sqrt(squares / static_cast<double>(points.size()));
    return result;
  } catch (const std::exception& failure) {
    return fail(no_fit(std::string("the calibration cannot be fitted (") + failure.what() + ")"));
  }
}

}  // namespace ohmglow::radiometry
