#include "radiometry/sakuma_hattori.h"

#include "radiometry/constants.h"

#include <cmath>

namespace ohmglow::radiometry {

SakumaHattoriValue sakuma_hattori(const SakumaHattori& calibration, Kelvin t) {
  const double argument_um_k = calibration.a_um * t.value() + calibration.b_um_k;
  const double x = kSecond_m_k * kMicrometresPerMetre / argument_um_k;
  const double per_c = 1 / std::expm1(x);
  const double signal = calibration.c * per_c;
  // d/d(AT+B) of 1/(e^x - 1) is x/(AT+B) · 1/(e^x - 1) · 1/(1 - e^-x).
  const double by_argument = signal * x / (argument_um_k * -std::expm1(-x));
  return {signal, by_argument * calibration.a_um, by_argument * t.value(), by_argument, per_c};
}

}  // namespace ohmglow::radiometry
