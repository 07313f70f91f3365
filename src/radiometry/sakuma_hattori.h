#pragma once
/// The Sakuma–Hattori equation in Planckian form, with its derivatives.

#include "ohmglow/quantity.h"
#include "ohmglow/survey.h"

namespace ohmglow::radiometry {

/// S = C / (exp(c2 / (A T + B)) − 1), and dS/dT, dS/dA, dS/dB, dS/dC.
struct SakumaHattoriValue {
  double signal;
  double by_temperature;
  double by_a;
  double by_b;
  double by_c;
};
/// For A T + B above 0.
[[nodiscard]] SakumaHattoriValue sakuma_hattori(const SakumaHattori& calibration, Kelvin t);

}  // namespace ohmglow::radiometry
