#include "ohmglow/radiometry.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace ohmglow::radiometry {
namespace {

/// In the order of InputKind.
constexpr std::array<std::string_view, 13> kKindNames{
    "emissivity",           "reflected", "air",           "atmosphere_transmittance",
    "window_transmittance", "window",    "camera",        "noise",
    "nonuniformity",        "load",      "load_exponent", "sound_scatter",
    "reference_choice"};

struct EmissivityRule {
  double from;
  double u;
};
/// House rule (docs/method.md): handbooks spread more the shinier the surface.
constexpr std::array<EmissivityRule, 3> kEmissivityRules{{{0.8, 0.02}, {0.5, 0.05}, {0.0, 0.15}}};

}  // namespace

std::string_view name_of(InputKind kind) {
  return kKindNames.at(static_cast<std::size_t>(kind));
}

Estimate::Estimate(double value, std::vector<Contribution> parts)
    : value_(value), parts_(std::move(parts)) {
  std::stable_sort(parts_.begin(), parts_.end(),
                   [](const Contribution& a, const Contribution& b) { return a.input < b.input; });
  std::size_t kept = 0;
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    if (kept > 0 && parts_[kept - 1].input == parts_[i].input) {
      parts_[kept - 1].u_k += parts_[i].u_k;
    } else {
      parts_[kept++] = parts_[i];
    }
  }
  parts_.erase(parts_.begin() + static_cast<std::ptrdiff_t>(kept), parts_.end());
}

double Estimate::u() const {
  return std::sqrt(covariance(*this, *this));
}

Estimate Estimate::combine(double a, const Estimate& x, double b, const Estimate& y) {
  std::vector<Contribution> parts;
  parts.reserve(x.parts_.size() + y.parts_.size());
  for (const Contribution& part : x.parts_) parts.push_back({part.input, a * part.u_k});
  for (const Contribution& part : y.parts_) parts.push_back({part.input, b * part.u_k});
  return Estimate(a * x.value_ + b * y.value_, std::move(parts));
}

double Estimate::covariance(const Estimate& x, const Estimate& y) {
  double sum = 0;
  auto other = y.parts_.begin();
  for (const Contribution& part : x.parts_) {
    while (other != y.parts_.end() && other->input < part.input) ++other;
    if (other == y.parts_.end()) break;
    if (other->input == part.input) sum += part.u_k * other->u_k;
  }
  return sum;
}

double default_emissivity_u(Emissivity emissivity) {
  const auto rule = std::find_if(
      kEmissivityRules.begin(), kEmissivityRules.end() - 1,
      [emissivity](const EmissivityRule& row) { return emissivity.value() >= row.from; });
  return rule->u;
}

}  // namespace ohmglow::radiometry
