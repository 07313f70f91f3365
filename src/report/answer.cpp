#include "answer.h"

#include "offered/vocabulary/number_text.h"
#include "scope.h"
#include "words.h"

#include <algorithm>
#include <fmt/format.h>

namespace ohmglow::report {
namespace {

using diagnosis::Assessment;
using diagnosis::Decision;
using diagnosis::Finding;
using diagnosis::Verdict;

struct GroupOf {
  std::string_view id;
  std::string_view title;
  std::string_view when_empty;
  int level = 0;
  std::size_t most = 0;  ///< lines that the first page has room for
};
// In the order of Decision, then what no finding speaks of.
constexpr std::array kGroups{
    GroupOf{"stop-now", msg("Stop now"), msg("Nothing that was measured calls for a stop now."), 4,
            16},
    GroupOf{"next-stop", msg("At the next planned stop"), msg("Nothing to open."), 2, 12},
    GroupOf{"image-again", msg("Measure or image again"), msg("Nothing to look at again."), 1, 8},
    GroupOf{"not-seen", msg("Not judged or not seen"),
            msg("Every motor listed was imaged, and every image was judged."), 0, 4},
};

// To open a joint, or to find the one to open.
std::string_view at_a_stop(Verdict verdict) {
  switch (verdict) {
    case Verdict::confirmed:
      return msg("Open, clean and remake this connection.");
    case Verdict::phase_agrees:
      return msg(
          "Measure across this joint alone, then along the circuit; remake the one that is "
          "high.");
    case Verdict::phase_conflict:
      return msg(
          "Check the lead markings and measure the three pairs again; then remake the hot "
          "connection.");
    case Verdict::reading_only:
      return msg("No lug is hot: measure along the circuit to find the joint that is high.");
    default:
      return msg("Measure across the three joints, then open and remake the high one.");
  }
}

/// A fault of the circuit, and not of how it was looked at.
bool is_of_the_circuit(const diagnosis::Explanation& explanation) {
  constexpr std::array<std::string_view, 5> kOthers{"sound", "meter_lead", "unlike_emissivity",
                                                    "reflection", "sun"};
  return std::find(kOthers.begin(), kOthers.end(), explanation.id) == kOthers.end();
}

std::string_view another_look(Verdict verdict) {
  switch (verdict) {
    case Verdict::reading_only:
      return msg("Measure the three pairs again with clean clips before anything is opened.");
    case Verdict::supply_unbalance:
    case Verdict::load_unbalance:
      return msg("Measure line voltages and currents together: the heat follows the currents.");
    case Verdict::even:
      return msg("No lug stands out: check load and ventilation.");
    case Verdict::not_judged:
      return msg("Image it again under more load.");
    case Verdict::unmarked_hot_spot:
      return msg("Find out what is hot there; if it is a connection, mark it and assess again.");
    default:
      return msg("Image it again at the next survey and note the load.");
  }
}

}  // namespace

std::string plain_action(const Finding& f) {
  if (f.verdict == Verdict::open_phase) {
    return tr("Stop it and do not start it again: it runs on two phases.");
  }
  std::string action;
  if (f.has(diagnosis::Flag::unconfirmed)) {
    action = tr("Look first whether the marks lie on their lugs.") + " ";
  }
  switch (f.decision) {
    case Decision::stop_now:
      action += tr("Take it off load as soon as that is safe.") + " ";
      break;
    case Decision::next_stop:
      break;
    case Decision::image_again:
      return action + tr(another_look(f.warm_alike ? Verdict::even : f.verdict));
  }
  if (f.warm_alike || f.verdict == Verdict::even) {
    return action +
           tr("Do not load it further: a conductor is, or at full load would be, above its "
              "limit.");
  }
  if (f.verdict == Verdict::load_unbalance || f.verdict == Verdict::supply_unbalance) {
    return action + tr("Correct the unequal currents before it runs again.");
  }
  // The lug that heat and ohms agree on is another one of this component.
  const bool is_beside = f.verdict != Verdict::phase_conflict && f.phase && f.electrical_phase &&
                         f.phase != f.electrical_phase;
  return action + tr(at_a_stop(is_beside ? Verdict::heat_only : f.verdict));
}

LikelyCause likely_cause(const Finding& f, const diagnosis::ComponentResult* component) {
  if (component == nullptr || component->explained.explanations.empty()) return {};
  const auto& explanations = component->explained.explanations;
  const diagnosis::Explanation& likeliest = explanations.front();
  const bool asks_to_open = f.decision != Decision::image_again && !f.warm_alike;
  const auto fault = std::find_if(explanations.begin(), explanations.end(), is_of_the_circuit);
  if (!asks_to_open || is_of_the_circuit(likeliest) || fault == explanations.end()) {
    return {&likeliest, nullptr};
  }
  return {&*fault, &likeliest};
}

std::string how_sure(const Finding& f, const diagnosis::ComponentResult* component) {
  const auto in_words = [](const diagnosis::Explanation& e) {
    return fmt::format("{}: {}", written(e.title), probability_text(e.probability));
  };
  const auto [cause, likelier] = likely_cause(f, component);
  if (cause == nullptr) return f.image ? "" : tr("by the readings alone");
  if (likelier == nullptr) return in_words(*cause);
  return say("{}; likelier: {}", in_words(*cause), in_words(*likelier));
}

const diagnosis::ComponentResult* component_of(const Lookup& lookup, const Finding& f) {
  return f.image ? lookup.component_of(*f.image) : component_of(lookup.assessment, f);
}

// Of a finding by the readings alone: the component that it names.
const diagnosis::ComponentResult* component_of(const Assessment& a, const Finding& f) {
  if (f.image) return a.component_of(*f.image);
  const auto& components = a.components;
  const auto found = std::find_if(components.begin(), components.end(), [&f](const auto& other) {
    return other.motor == f.motor && other.component == f.component && !other.images.empty();
  });
  return found == components.end() ? nullptr : &*found;
}

std::string places_of_case(const Assessment& a, const Finding& lead) {
  std::string places =
      (lead.component.empty() ? "" : lead.component + ", ") + where_of(a.survey, lead);
  for (const Sentence& other : lead.also) places += "; " + say("also {}", written(other));
  return places;
}

namespace {

AnswerLine line_of(const Lookup& lookup, const Finding& f) {
  const Motor* row = lookup.row(f.motor);
  const std::string area = work_site(row, lookup.place(f.motor, f.component)).area;
  return {f.rank,
          f.case_number,
          band_level(lookup.assessment.policy, f.grade.band),
          f.motor,
          row == nullptr ? "" : row->description,
          (area.empty() ? "" : area + ", ") + places_of_case(lookup.assessment, f),
          plain_action(f),
          how_sure(f, component_of(lookup, f))};
}

AnswerLine line_of(const Lookup& lookup, const std::string& motor, const std::string& where,
                   const std::string& action) {
  const Motor* row = lookup.row(motor);
  return {0, 0, 0, motor, row == nullptr ? "" : row->description, where, action, ""};
}

}  // namespace

void AnswerOf::add(std::size_t group, AnswerLine line) {
  ++counts_.at(group);
  if (lines_.at(group).size() < kGroups.at(group).most) {
    lines_.at(group).push_back(std::move(line));
  }
}

void AnswerOf::add_findings(const Lookup& findings, const std::string& page) {
  for (const Finding& f : findings.assessment.findings) {
    if (!f.leads_case) continue;
    AnswerLine line = line_of(findings, f);
    line.page = page;
    add(static_cast<std::size_t>(f.decision), std::move(line));
  }
}

void AnswerOf::add_motors(const Lookup& motors) {
  const Assessment& a = motors.assessment;
  for (const diagnosis::Aside& aside : a.not_judged) {
    add(kNotSeen, line_of(motors, aside.motor, aside.component, written(aside.next_step)));
  }
  for (const NotCovered& each : not_covered_places(motors)) {
    add(kNotSeen, line_of(motors, each.motor,
                          each.image.empty() ? each.component
                                             : fmt::format("{}, {}", each.component, each.image),
                          fmt::format("{}: {}", each.state, each.why)));
  }
}

// The lines of each group that the first page has room for: the milder ones give way first.
std::array<std::size_t, AnswerOf::kNotSeen + 1> AnswerOf::lines_shown() const {
  constexpr std::size_t kOfPage = 14;  // on the smaller paper, letter
  constexpr std::size_t kLeast = 3;
  std::array<std::size_t, kNotSeen + 1> shown{};
  std::size_t all = 0;
  for (std::size_t i = 0; i < lines_.size(); ++i) {
    shown.at(i) = lines_.at(i).size();
    if (i < kNotSeen) all += shown.at(i);
  }
  for (std::size_t group = kNotSeen; group-- > 0 && all > kOfPage;) {
    const std::size_t least = group == 0 ? 0 : std::min(kLeast, shown.at(group));
    const std::size_t fewer = std::min(all - kOfPage, shown.at(group) - least);
    shown.at(group) -= fewer;
    all -= fewer;
  }
  return shown;
}

std::vector<AnswerGroup> AnswerOf::groups() const {
  const auto shown = lines_shown();
  std::vector<AnswerGroup> groups;
  for (std::size_t i = 0; i < kGroups.size(); ++i) {
    const GroupOf& of = kGroups.at(i);
    std::vector<AnswerLine> lines = lines_.at(i);
    lines.resize(shown.at(i));
    groups.push_back({std::string(of.id), tr(of.title), of.level, std::move(lines),
                      counts_.at(i) - shown.at(i), tr(of.when_empty)});
  }
  return groups;
}

std::vector<AnswerGroup> answer_of(const Lookup& lookup) {
  AnswerOf answer;
  answer.add_findings(lookup);
  answer.add_motors(lookup);
  return answer.groups();
}

}  // namespace ohmglow::report
