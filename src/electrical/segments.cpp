#include "offered/electrical/segments.h"

#include "resistance_uncertainty.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace ohmglow::electrical {
namespace {

// An exact meter would make an infinite weight.
constexpr double kLeastRelativeU = 1e-7;
constexpr double kCoverage = 2;  // JCGM 100, 6.3: about 95 %

// A symmetric positive definite matrix, row by row.
struct Square {
  explicit Square(std::size_t n) : size(n), cells(n * n, 0.0) {}
  double& at(std::size_t row, std::size_t column) { return cells[row * size + column]; }
  [[nodiscard]] double at(std::size_t row, std::size_t column) const {
    return cells[row * size + column];
  }
  std::size_t size;
  std::vector<double> cells;
};

using Form = std::vector<double>;  // a linear form in the unknowns

struct System {
  explicit System(std::size_t n) : normal(n), right(n, 0.0) {}
  // One observation: form·x = value ± u.
  void add(const Form& form, double value, double u) {
    const double weight = 1 / (u * u);
    for (std::size_t i = 0; i < form.size(); ++i) {
      if (form[i] == 0) continue;
      right[i] += weight * form[i] * value;
      for (std::size_t j = 0; j < form.size(); ++j) normal.at(i, j) += weight * form[i] * form[j];
    }
  }
  Square normal;
  std::vector<double> right;
};

// The inverse by Gauss–Jordan without pivoting, which a positive definite matrix does not need.
Square inverse(Square m) {
  for (std::size_t k = 0; k < m.size; ++k) {
    const double pivot = m.at(k, k);
    m.at(k, k) = 1;
    for (std::size_t j = 0; j < m.size; ++j) m.at(k, j) /= pivot;
    for (std::size_t i = 0; i < m.size; ++i) {
      if (i == k) continue;
      const double factor = m.at(i, k);
      m.at(i, k) = 0;
      for (std::size_t j = 0; j < m.size; ++j) m.at(i, j) -= factor * m.at(k, j);
    }
  }
  return m;
}

double applied(const Form& form, const std::vector<double>& x) {
  double sum = 0;
  for (std::size_t i = 0; i < form.size(); ++i) sum += form[i] * x[i];
  return sum;
}

double deviation(const Form& form, const Square& covariance) {
  double sum = 0;
  for (std::size_t i = 0; i < form.size(); ++i) {
    if (form[i] == 0) continue;
    for (std::size_t j = 0; j < form.size(); ++j) {
      sum += form[i] * covariance.at(i, j) * form[j];
    }
  }
  return std::sqrt(std::max(sum, 0.0));
}

std::size_t unknown(std::size_t segment, std::size_t phase) {
  return 3 * segment + phase;
}

// A phase of a stretch less the mean of the two others.
Form excess_form(std::size_t segments, std::size_t segment, std::size_t phase) {
  Form form(3 * segments, 0.0);
  for (std::size_t p = 0; p < 3; ++p) form[unknown(segment, p)] = p == phase ? 1.0 : -0.5;
  return form;
}

void add_readings(System& system, std::span<const PlaceReading> places) {
  for (std::size_t k = 0; k < places.size(); ++k) {
    const auto& [pairs, meter] = places[k];
    const PerPair<double> u = pair_us(pairs, meter);
    for (std::size_t pair = 0; pair < 3; ++pair) {
      Form form(3 * places.size(), 0.0);
      for (std::size_t j = k; j < places.size(); ++j) {
        form[unknown(j, pair)] = 1;
        form[unknown(j, (pair + 1) % 3)] = 1;
      }
      const double value = pairs.at(pair).value();
      system.add(form, value, std::max(u.at(pair), kLeastRelativeU * value));
    }
  }
}

void add_cables(System& system, std::span<const std::optional<CablePrior>> cables) {
  for (std::size_t j = 0; j < cables.size(); ++j) {
    if (!cables[j] || !(cables[j]->u.value() > 0)) continue;
    Form form(system.right.size(), 0.0);
    for (std::size_t p = 0; p < 3; ++p) form[unknown(j, p)] = 1.0 / 3;
    system.add(form, cables[j]->resistance.value(), cables[j]->u.value());
  }
}

struct Solution {
  std::vector<double> x;
  Square covariance;
};

Solution solve(std::span<const PlaceReading> places,
               std::span<const std::optional<CablePrior>> cables) {
  System system(3 * places.size());
  add_readings(system, places);
  add_cables(system, cables);
  Solution solution{std::vector<double>(system.right.size(), 0.0), inverse(system.normal)};
  for (std::size_t i = 0; i < solution.x.size(); ++i) {
    for (std::size_t j = 0; j < solution.x.size(); ++j) {
      solution.x[i] += solution.covariance.at(i, j) * system.right[j];
    }
  }
  return solution;
}

// A bad joint on one phase lifts the mean of its stretch by a third of itself: the cable is
// expected to lie that much lower. Noise is no joint.
std::vector<std::optional<CablePrior>> beside_faults(
    std::span<const std::optional<CablePrior>> cables, const Solution& alone) {
  std::vector<std::optional<CablePrior>> lifted(cables.begin(), cables.end());
  const std::size_t segments = alone.x.size() / 3;
  for (std::size_t j = 0; j < lifted.size(); ++j) {
    if (!lifted[j]) continue;
    double excess = 0;
    double u = 0;
    for (std::size_t p = 0; p < 3; ++p) {
      const Form form = excess_form(segments, j, p);
      if (applied(form, alone.x) <= excess) continue;
      excess = applied(form, alone.x);
      u = deviation(form, alone.covariance);
    }
    if (excess <= kCoverage * u) continue;
    lifted[j]->resistance = lifted[j]->resistance + Ohm{excess / 3};
    lifted[j]->u = Ohm{std::hypot(lifted[j]->u.value(), u / 3)};
  }
  return lifted;
}

double below(double z) {
  return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double probability_of_largest(const std::vector<Form>& excesses, std::size_t candidate,
                              const std::vector<double>& x, const Square& covariance) {
  double others = 0;
  for (std::size_t k = 0; k < excesses.size(); ++k) {
    if (k == candidate) continue;
    Form lead = excesses[candidate];
    for (std::size_t i = 0; i < lead.size(); ++i) lead[i] -= excesses[k][i];
    const double d = applied(lead, x);
    const double u = deviation(lead, covariance);
    others += u > 0 ? below(-d / u) : (d > 0 ? 0.0 : 1.0);
  }
  return std::max(0.0, 1 - others);
}

std::optional<Error> refusal(std::span<const PlaceReading> places) {
  if (places.empty() || places.size() > kMostPlaces) {
    return Error{.what = "a circuit is solved from the readings at some places",
                 .found = std::to_string(places.size()),
                 .expected = "1 to " + std::to_string(kMostPlaces) + " places"};
  }
  for (const PlaceReading& place : places) {
    const auto resolved = resolve(place.pairs, Connection::unknown, place.meter);
    if (!resolved) return resolved.error();
  }
  return std::nullopt;
}

}  // namespace

Result<std::vector<Segment>> solve_segments(std::span<const PlaceReading> places,
                                            std::span<const std::optional<CablePrior>> cables) {
  if (auto error = refusal(places)) return fail(std::move(*error));
  const std::size_t n = places.size();
  const Solution alone = solve(places, {});
  const auto known = beside_faults(cables.first(std::min(cables.size(), n)), alone);
  const auto [x, covariance] = known.empty() ? alone : solve(places, known);
  std::vector<Form> excesses;
  for (std::size_t j = 0; j < n; ++j) {
    for (std::size_t p = 0; p < 3; ++p) excesses.push_back(excess_form(n, j, p));
  }
  std::vector<Segment> segments;
  for (std::size_t j = 0; j < n; ++j) {
    const auto first = x.begin() + static_cast<std::ptrdiff_t>(3 * j);
    const auto p = static_cast<std::size_t>(std::max_element(first, first + 3) - first);
    const std::size_t candidate = unknown(j, p);
    segments.push_back({.resistance = {Ohm{first[0]}, Ohm{first[1]}, Ohm{first[2]}},
                        .phase = kPhases.at(p),
                        .excess = Ohm{applied(excesses[candidate], x)},
                        .excess_u = Ohm{deviation(excesses[candidate], covariance)},
                        .probability = probability_of_largest(excesses, candidate, x, covariance)});
  }
  return segments;
}

}  // namespace ohmglow::electrical
