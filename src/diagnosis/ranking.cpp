#include "judging.h"

#include <algorithm>
#include <numeric>
#include <tuple>

namespace ohmglow::diagnosis {
namespace {

// The rise that a place in the list depends on: projected over like, else over like, else over air
// (a lone lug). Absent for a reading alone.
std::optional<double> rise_for_rank(const Finding& finding) {
  if (finding.projected_rise) return finding.projected_rise->rise.value();
  if (finding.rise_over_like) return finding.rise_over_like->value();
  if (finding.rise_over_air) return finding.rise_over_air->value();
  return std::nullopt;
}

double stake_of(const Judging& judging, const Finding& finding) {
  const auto at = judging.motor_index.find(finding.motor);
  if (at == judging.motor_index.end()) return 0;
  const Motor* motor = judging.motors[at->second].motor;
  if (!motor || !motor->criticality || !motor->downtime_cost_per_h) return 0;
  return *motor->criticality * *motor->downtime_cost_per_h;
}

struct Place {
  Finding* finding;
  std::optional<double> rise;
  double stake = 0;
};

// Smaller comes first; an absent value is smaller than any, so what ranks by "larger first" stands
// on the other side of the comparison.
bool comes_before(const Place& a, const Place& b) {
  const Finding& x = *a.finding;
  const Finding& y = *b.finding;
  const auto names = [](const Finding& f) {
    return std::tie(f.motor, f.component, f.phase, f.lug, f.image);
  };
  return std::tie(y.grade.band, x.verdict, b.rise, b.stake) <
             std::tie(x.grade.band, y.verdict, a.rise, a.stake) ||
         (std::tie(y.grade.band, x.verdict, b.rise, b.stake) ==
              std::tie(x.grade.band, y.verdict, a.rise, a.stake) &&
          names(x) < names(y));
}

}  // namespace

void rank(const Judging& judging, std::vector<Finding>& findings) {
  std::vector<Place> places;
  places.reserve(findings.size());
  for (Finding& finding : findings) {
    places.push_back({&finding, rise_for_rank(finding), stake_of(judging, finding)});
  }
  std::stable_sort(places.begin(), places.end(), comes_before);
  std::vector<Finding> ranked;
  ranked.reserve(findings.size());
  for (const Place& place : places) {
    ranked.push_back(std::move(*place.finding));
    ranked.back().rank = static_cast<int>(ranked.size());
  }
  findings = std::move(ranked);
}

}  // namespace ohmglow::diagnosis
