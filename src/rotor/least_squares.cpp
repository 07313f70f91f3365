#include "rotor/least_squares.h"

namespace ohmglow::rotor {
namespace {

// Columns are cosines and sines of order one: what is told apart worse is not told apart.
constexpr double kLeastCondition = 1e-9;

}  // namespace

std::optional<Fit> least_squares(const cv::Mat& design, const cv::Mat& values) {
  if (design.rows < design.cols) return std::nullopt;
  Fit fit;
  const cv::Mat normal = design.t() * design;
  // The inverse condition number, by singular values.
  if (cv::invert(normal, fit.cofactors, cv::DECOMP_SVD) < kLeastCondition) return std::nullopt;
  if (!cv::solve(design, values, fit.parameters, cv::DECOMP_SVD)) return std::nullopt;
  fit.residuals = values - design * fit.parameters;
  fit.freedom = design.rows - design.cols;
  if (fit.freedom > 0) fit.variance = fit.residuals.dot(fit.residuals) / fit.freedom;
  return fit;
}

}  // namespace ohmglow::rotor
