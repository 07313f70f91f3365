#include "ohmglow/rotor.h"

namespace ohmglow::rotor {
namespace {

// Of the standard normal distribution, 95 % to one side.
constexpr double kOneSided95 = 1.6448536269514722;

}  // namespace

std::string_view id_of(Conformity conformity) {
  switch (conformity) {
    case Conformity::pass:
      return "pass";
    case Conformity::fail:
      return "fail";
    case Conformity::too_close:
      return "too_close";
    case Conformity::not_done:
      break;
  }
  return "not_done";
}

Conformity at_most(double value, double u, double limit) {
  const double guard = kOneSided95 * u;
  if (!exceeds(value + guard, limit)) return Conformity::pass;
  return exceeds(value - guard, limit) ? Conformity::fail : Conformity::too_close;
}

}  // namespace ohmglow::rotor
