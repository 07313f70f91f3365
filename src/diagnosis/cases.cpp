#include "wording.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <map>

namespace ohmglow::diagnosis {
namespace {

constexpr std::array<std::string_view, 3> kDecisions{"stop_now", "next_stop", "image_again"};

bool is_open_phase(const Finding& finding) {
  return finding.verdict == Verdict::open_phase;
}

bool follows_the_currents(const Finding& finding) {
  return finding.verdict == Verdict::load_unbalance || finding.verdict == Verdict::supply_unbalance;
}

bool is_backed_by_ohms(const Finding& finding) {
  return finding.verdict == Verdict::confirmed || finding.verdict == Verdict::phase_agrees;
}

// One reading's excess behind two joints of its phase: which of them makes it nobody can tell
// before both are open.
bool share_an_excess(const Finding& a, const Finding& b) {
  return is_backed_by_ohms(a) && is_backed_by_ohms(b) && a.phase && a.phase == b.phase &&
         a.excess_ohm && b.excess_ohm && a.excess_ohm->value() == b.excess_ohm->value();
}

std::string id_of_cause(const Finding& lead) {
  if (is_open_phase(lead)) return lead.motor + "/open phase";
  if (follows_the_currents(lead)) return lead.motor + "/currents";
  if (lead.verdict == Verdict::unmarked_hot_spot) {
    return fmt::format("{}/{}/outside the marks", lead.motor, lead.component);
  }
  const auto phase = lead.phase ? lead.phase : lead.electrical_phase;
  return fmt::format("{}/{}/{}", lead.motor, lead.component.empty() ? "circuit" : lead.component,
                     phase ? std::to_string(number_of(*phase)) : "-");
}

Sentence in_short(const Finding& finding, const PhaseNames& names) {
  List place;
  if (!finding.component.empty()) place.items.emplace_back(finding.component);
  if (finding.phase) {
    place.items.emplace_back(sentence("phase {}", names.at(index_of(*finding.phase))));
  }
  if (finding.lug) place.items.emplace_back(sentence("lug {}", *finding.lug));
  if (!finding.rise_over_like) return layout("{}", std::move(place));
  return sentence("{}: {} over like", std::move(place),
                  difference(finding.rise_over_like->value(), 1));
}

}  // namespace

std::string_view id_of(Decision decision) {
  return kDecisions.at(static_cast<std::size_t>(decision));
}

Decision decision_of(const Finding& finding, const severity::Policy& policy) {
  const std::size_t band = finding.grade.band.value_or(0);
  const bool gravest = band + 1 == policy.bands.size();
  if (finding.warm_alike && finding.verdict != Verdict::open_phase) {
    // No joint to open; but the next stop is when a conductor above its limit is looked at.
    return finding.grade.by == severity::DecidedBy::limit ? Decision::next_stop
                                                          : Decision::image_again;
  }
  switch (finding.verdict) {
    case Verdict::open_phase:
      return Decision::stop_now;
    case Verdict::even:
    case Verdict::not_judged:
    case Verdict::unmarked_hot_spot:
      return Decision::image_again;
    case Verdict::load_unbalance:
    case Verdict::supply_unbalance:
      return gravest ? Decision::stop_now : Decision::image_again;
    default:
      break;
  }
  if (gravest) return Decision::stop_now;
  return band == 0 ? Decision::image_again : Decision::next_stop;
}

void form_cases(std::vector<Finding>& findings, const PhaseNames& names) {
  const bool is_open = std::any_of(findings.begin(), findings.end(), is_open_phase);
  for (auto finding = findings.begin(); finding != findings.end(); ++finding) {
    // What is warm or unequal beside an open phase comes from it.
    const auto lead = std::find_if(findings.begin(), finding, [&](const Finding& earlier) {
      return earlier.leads_case && (is_open || id_of_cause(earlier) == id_of_cause(*finding) ||
                                    share_an_excess(earlier, *finding));
    });
    finding->leads_case = lead == finding;
    finding->case_id = finding->leads_case ? id_of_cause(*finding) : lead->case_id;
    if (!finding->leads_case) lead->also.push_back(in_short(*finding, names));
  }
}

void number_cases(std::vector<Finding>& findings) {
  std::map<std::string_view, int> numbers;
  for (Finding& finding : findings) {
    const int next = static_cast<int>(numbers.size()) + 1;
    finding.case_number = numbers.emplace(finding.case_id, next).first->second;
  }
}

}  // namespace ohmglow::diagnosis
