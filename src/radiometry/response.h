#pragma once
/// Planck's law weighed with a tabulated spectral response.

#include "ohmglow/result.h"
#include "ohmglow/survey.h"
#include "radiometry/planck.h"

#include <optional>
#include <vector>

namespace ohmglow::radiometry {

/// Why a table of wavelengths and responses cannot be a camera's response.
[[nodiscard]] std::optional<Error> unusable_response(const std::vector<ResponsePoint>& points);

/// A wavelength and what its spectral radiance counts for.
struct SpectralNode {
  double wavelength_m;
  double weight_m;
};
/// Gauss-Legendre nodes over the straight lines of a usable table, its largest response being 1.
[[nodiscard]] std::vector<SpectralNode> quadrature_nodes(const std::vector<ResponsePoint>& points);

[[nodiscard]] BandValue weighted_value(const std::vector<SpectralNode>& nodes, Kelvin t);

}  // namespace ohmglow::radiometry
