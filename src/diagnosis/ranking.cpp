#include "offered/diagnosis/ranking.h"

#include <algorithm>
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

// Criticality runs from 1 to 5; a motor without one counts as the middle.
constexpr double kMiddleCriticality = 3;

std::optional<double> loss_of(const Finding& finding, const Motor* motor) {
  if (!finding.expected_loss) return std::nullopt;
  const double criticality = motor && motor->criticality ? *motor->criticality : kMiddleCriticality;
  return *finding.expected_loss * criticality / kMiddleCriticality;
}

auto names_of(const Finding& finding) {
  return std::tie(finding.motor, finding.component, finding.phase, finding.lug, finding.image);
}

}  // namespace

RankKey rank_key(const Finding& finding, const Motor* motor) {
  return {finding.grade.band, finding.verdict, loss_of(finding, motor), rise_for_rank(finding),
          stake_of(motor)};
}

// Smaller comes first; an absent value is smaller than any, so what ranks by "larger first" stands
// on the other side of the comparison.
bool comes_before(const RankKey& a, const RankKey& b) {
  return std::tie(b.band, a.verdict, b.loss, b.rise, b.stake) <
         std::tie(a.band, b.verdict, a.loss, a.rise, a.stake);
}

void sort_by_rank(std::vector<ToRank>& findings) {
  std::vector<std::pair<RankKey, ToRank>> places;
  places.reserve(findings.size());
  for (const ToRank& ranked : findings) {
    places.emplace_back(rank_key(*ranked.finding, ranked.motor), ranked);
  }
  std::stable_sort(places.begin(), places.end(), [](const auto& a, const auto& b) {
    if (comes_before(a.first, b.first)) return true;
    if (comes_before(b.first, a.first)) return false;
    return names_of(*a.second.finding) < names_of(*b.second.finding);
  });
  std::transform(places.begin(), places.end(), findings.begin(),
                 [](const auto& place) { return place.second; });
}

void rank(std::vector<Finding>& findings, std::span<const Motor* const> motors) {
  std::vector<ToRank> order;
  order.reserve(findings.size());
  for (std::size_t i = 0; i < findings.size(); ++i) order.push_back({&findings[i], motors[i], i});
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
