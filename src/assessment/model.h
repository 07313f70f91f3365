#pragma once
/// One image's lug temperatures as a function of everything that is uncertain about them.

#include "assessment/draws.h"
#include "assessment/measure.h"

#include <cstdint>
#include <span>

namespace ohmglow::assessment {

/// In which range an input is drawn; a normal distribution is cut off there.
struct DrawnWithin {
  double low;
  double high;
};
/// An emissivity stays above 0: at 0 a surface has no temperature to be seen.
inline constexpr DrawnWithin kDrawnEmissivity{1e-6, 1};

class ImageModel {
 public:
  ImageModel(const Measured& measured, const radiometry::InputUncertainties& u)
      : measured_(measured), u_(u) {}

  [[nodiscard]] std::size_t lugs() const { return measured_.lugs.size(); }
  /// The lugs' temperatures and the air's in one trial, °C; NaN outside the radiance table.
  void evaluate(const Draws& draws, std::uint64_t trial, std::span<double> lugs_c,
                double& air_c) const;

 private:
  [[nodiscard]] Spot drawn(const Spot& spot, const Draws& draws, std::uint64_t trial) const;
  [[nodiscard]] std::optional<Basis> drawn_basis(const Draws& draws, std::uint64_t trial) const;

  const Measured& measured_;
  const radiometry::InputUncertainties& u_;
};

}  // namespace ohmglow::assessment
