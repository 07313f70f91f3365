#include "radiometry/response.h"

#include "offered/vocabulary/number_text.h"
#include "ohmglow/radiometry.h"
#include "radiometry/constants.h"

#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <cmath>
#include <string>

namespace ohmglow::radiometry {
namespace {

/// Seven nodes over a quarter micrometre err by less than 1e-12 where Planck's law changes by a
/// factor e in 0.15 µm, as it does at 3 µm and -60 °C.
using Wide = boost::math::quadrature::gauss<double, 7>;
constexpr double kWidest_um = 0.25;
/// Over a fiftieth three nodes do as well, and a finely written table costs half.
using Narrow = boost::math::quadrature::gauss<double, 3>;
constexpr double kNarrow_um = 0.02;

Error unusable(std::string what, std::string found, std::string expected) {
  return Error{ErrorKind::invalid_value, std::move(what), std::move(found), std::move(expected),
               "correct the table of the spectral response"};
}

/// Nodes of one piece of a straight line. Boost keeps only the half of them from 0 up.
template <class Rule>
void add_piece(std::vector<SpectralNode>& nodes, const ResponsePoint& from, const ResponsePoint& to,
               double begin, double end) {
  const double span_um = to.wavelength.value() - from.wavelength.value();
  const auto add = [&](double along, double weight) {
    const double share = (begin + end) / 2 + along * (end - begin) / 2;
    const double um = from.wavelength.value() + share * span_um;
    const double response = from.response + share * (to.response - from.response);
    const double weight_um = response * weight * span_um * (end - begin) / 2;
    if (weight_um > 0)
      nodes.push_back({um / kMicrometresPerMetre, weight_um / kMicrometresPerMetre});
  };
  for (std::size_t i = 0; i < Rule::abscissa().size(); ++i) {
    const double along = Rule::abscissa()[i];
    const double weight = Rule::weights()[i];
    add(along, weight);
    if (along != 0) add(-along, weight);
  }
}

}  // namespace

std::optional<Error> unusable_response(const std::vector<ResponsePoint>& points) {
  if (points.size() < 2)
    return unusable("a spectral response needs at least two points", std::to_string(points.size()),
                    "rows of wavelength_um and response");
  if (points.size() > BandRadiance::kMostResponsePoints) {
    Error error =
        unusable("the spectral response has too many points", std::to_string(points.size()),
                 "at most " + std::to_string(BandRadiance::kMostResponsePoints));
    error.kind = ErrorKind::too_large;
    return error;
  }
  double last_um = 0;
  double most = 0;
  for (const ResponsePoint& point : points) {
    const double um = point.wavelength.value();
    if (!(um > last_um) || !std::isfinite(um))
      return unusable("the wavelengths do not rise", decimals(um, 4) + " µm",
                      "positive wavelengths in µm, each longer than the one before");
    if (!(point.response >= 0) || !std::isfinite(point.response))
      return unusable("a response is not a number from 0 up", decimals(point.response, 6),
                      "relative responses, 0 or more");
    last_um = um;
    most = std::max(most, point.response);
  }
  if (most == 0) return unusable("the response is 0 at every wavelength", "0", "some above 0");
  return std::nullopt;
}

std::vector<SpectralNode> quadrature_nodes(const std::vector<ResponsePoint>& points) {
  const double most =
      std::max_element(points.begin(), points.end(), [](const auto& a, const auto& b) {
        return a.response < b.response;
      })->response;
  std::vector<SpectralNode> nodes;
  for (std::size_t i = 1; i < points.size(); ++i) {
    const ResponsePoint from{points[i - 1].wavelength, points[i - 1].response / most};
    const ResponsePoint to{points[i].wavelength, points[i].response / most};
    const double span_um = to.wavelength.value() - from.wavelength.value();
    if (span_um <= kNarrow_um) {
      add_piece<Narrow>(nodes, from, to, 0, 1);
      continue;
    }
    // Far infrared has little structure: pieces grow with the wavelength there, and a table cannot
    // ask for more than some thousand of them.
    const double widest_um = std::max(kWidest_um, from.wavelength.value() / 32);
    const auto pieces = static_cast<int>(std::min(std::ceil(span_um / widest_um), 4096.0));
    for (int piece = 0; piece < pieces; ++piece)
      add_piece<Wide>(nodes, from, to, static_cast<double>(piece) / pieces,
                      static_cast<double>(piece + 1) / pieces);
  }
  return nodes;
}

BandValue weighted_value(const std::vector<SpectralNode>& nodes, Kelvin t) {
  BandValue sum{0, 0};
  for (const auto& [wavelength_m, weight_m] : nodes) {
    const double x = kSecond_m_k / (wavelength_m * t.value());
    const double square = wavelength_m * wavelength_m;
    const double inverse = 1 / std::expm1(x);
    const double radiance =
        weight_m * kFirstRadiance_w_m2_sr * inverse / (square * square * wavelength_m);
    sum.radiance += radiance;
    sum.slope += radiance * (x / t.value()) * (1 + inverse);
  }
  return sum;
}

}  // namespace ohmglow::radiometry
