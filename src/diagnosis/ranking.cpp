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

double stake_of(const Motor* motor) {
  if (!motor || !motor->criticality || !motor->downtime_cost_per_h) return 0;
  return *motor->criticality * *motor->downtime_cost_per_h;
}

struct Place {
  ToRank ranked;
  std::optional<double> rise;
  double stake = 0;
};

// Smaller comes first; an absent value is smaller than any, so what ranks by "larger first" stands
// on the other side of the comparison.
bool comes_before(const Place& a, const Place& b) {
  const Finding& x = *a.ranked.finding;
  const Finding& y = *b.ranked.finding;
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

void sort_by_rank(std::vector<ToRank>& findings) {
  std::vector<Place> places;
  places.reserve(findings.size());
  for (const ToRank& ranked : findings) {
    places.push_back({ranked, rise_for_rank(*ranked.finding), stake_of(ranked.motor)});
  }
  std::stable_sort(places.begin(), places.end(), comes_before);
  std::transform(places.begin(), places.end(), findings.begin(),
                 [](const Place& place) { return place.ranked; });
}

void rank(const Judging& judging, std::vector<Finding>& findings) {
  std::vector<ToRank> order;
  order.reserve(findings.size());
  for (const Finding& finding : findings) {
    const auto at = judging.motor_index.find(finding.motor);
    const Motor* motor =
        at == judging.motor_index.end() ? nullptr : judging.motors[at->second].motor;
    order.push_back({&finding, motor, order.size()});
  }
  sort_by_rank(order);
  std::vector<Finding> ranked;
  ranked.reserve(findings.size());
  for (const ToRank& next : order) {
    ranked.push_back(std::move(findings[next.number]));
    ranked.back().rank = static_cast<int>(ranked.size());
  }
  findings = std::move(ranked);
}

}  // namespace ohmglow::diagnosis
