#include "offered/results/work_orders.h"

#include "offered/vocabulary/number_text.h"
#include "ohmglow/reader.h"
#include "records/files/json_text.h"

#include <algorithm>
#include <boost/uuid/name_generator_sha1.hpp>
#include <boost/uuid/string_generator.hpp>
#include <boost/uuid/uuid_io.hpp>
#include <fmt/format.h>
#include <map>

namespace ohmglow::records {
namespace {

using diagnosis::Assessment;
using diagnosis::Finding;

constexpr int kLowestPriority = 9;

std::optional<Phase> phase_of(const Finding& finding) {
  return finding.phase ? finding.phase : finding.electrical_phase;
}

std::chrono::sys_days day_of(const Assessment& assessment, const Finding& finding) {
  if (finding.image_index) {
    const auto& taken = assessment.images.at(*finding.image_index).taken_at;
    if (taken) return taken->day;
  }
  if (assessment.survey.surveyed_on) return assessment.survey.surveyed_on->day;
  return assessment.options.as_of;
}

int priority_of(const Assessment& assessment, const Finding& finding) {
  const auto milder = assessment.policy.bands.size() - 1 - finding.grade.band.value_or(0);
  return std::min(kLowestPriority, 1 + static_cast<int>(milder));
}

std::string summary_of(const Assessment& assessment, const Finding& finding,
                       std::optional<Phase> phase) {
  List where{{finding.motor, finding.component.empty() ? Filling(sentence("circuit"))
                                                       : Filling(finding.component)}};
  if (phase) {
    where.items.emplace_back(
        sentence("phase {}", assessment.survey.phase_names.at(index_of(*phase))));
  }
  if (finding.lug) where.items.emplace_back(sentence("lug {}", *finding.lug));
  List what{{sentence(assessment.band_id(finding.grade))}};
  if (finding.rise_over_like) {
    what.items.emplace_back(
        sentence("{} over like", difference(finding.rise_over_like->value(), 1)));
  } else if (finding.rise_over_air) {
    what.items.emplace_back(sentence("{} over air", difference(finding.rise_over_air->value(), 1)));
  } else if (finding.resistance_unbalance) {
    what.items.emplace_back(sentence("resistance unbalance {} %",
                                     ohmglow::number(finding.resistance_unbalance->value(), 1)));
  }
  return written(layout("{}: {}", std::move(where), std::move(what)));
}

}  // namespace

std::string work_order_id(std::string_view motor, std::string_view component,
                          std::optional<Phase> phase) {
  const OrderedJson name{motor, component, phase ? OrderedJson(number_of(*phase)) : OrderedJson()};
  const auto space = boost::uuids::string_generator()(std::string(kWorkOrderNamespace));
  return boost::uuids::to_string(boost::uuids::name_generator_sha1(space)(dumped(name)));
}

std::vector<WorkOrder> work_orders(const Assessment& assessment,
                                   const std::vector<DueRule>& rules) {
  std::vector<WorkOrder> orders;
  std::map<std::string, std::size_t> known;
  for (std::size_t i = 0; i < assessment.findings.size(); ++i) {
    const Finding& finding = assessment.findings[i];
    if (finding.verdict == diagnosis::Verdict::even) continue;  // there is nothing to mend
    const auto [at, is_new] = known.emplace(finding.case_id, orders.size());
    if (!is_new) {
      orders[at->second].findings.push_back(i);
      continue;
    }
    // Findings come by rank, so that the first of a case is its most urgent.
    const auto phase = phase_of(finding);
    WorkOrder order;
    order.id = work_order_id(finding.motor, finding.component, phase);
    order.findings = {i};
    order.phase = phase;
    order.priority = priority_of(assessment, finding);
    order.found_on = day_of(assessment, finding);
    order.summary = summary_of(assessment, finding, phase);
    const auto rule = std::find_if(rules.begin(), rules.end(), [&](const DueRule& known_rule) {
      return known_rule.band == assessment.band_id(finding.grade);
    });
    if (rule != rules.end()) {
      order.rule = *rule;
      order.due = order.found_on + std::chrono::days(rule->days);
    }
    orders.push_back(std::move(order));
  }
  return orders;
}

}  // namespace ohmglow::records
