#include "judging.h"

#include <array>

namespace ohmglow::diagnosis {
namespace {

struct Rule {
  Verdict verdict;
  bool (*holds)(const Witnesses&);
};

bool follows_currents(const Witnesses& w) {
  return w.hot && !w.reading_abnormal && w.currents_explain_it;
}

// The first rule that holds decides.
constexpr std::array<Rule, 8> kOrderOfDecision{{
    {Verdict::supply_unbalance,
     [](const Witnesses& w) { return follows_currents(w) && w.voltage_abnormal; }},
    {Verdict::load_unbalance, follows_currents},
    {Verdict::no_reading, [](const Witnesses& w) { return !w.has_reading; }},
    {Verdict::confirmed,
     [](const Witnesses& w) { return w.hot && w.reading_abnormal && w.same_phase; }},
    {Verdict::phase_conflict, [](const Witnesses& w) { return w.hot && w.reading_abnormal; }},
    {Verdict::heat_only, [](const Witnesses& w) { return w.hot; }},
    {Verdict::reading_only, [](const Witnesses& w) { return w.reading_abnormal; }},
    {Verdict::even, [](const Witnesses&) { return true; }},
}};

}  // namespace

Verdict verdict_from(const Witnesses& w) {
  for (const Rule& rule : kOrderOfDecision) {
    if (rule.holds(w)) return rule.verdict;
  }
  return Verdict::even;
}

bool currents_explain(const Judging& judging, const ComponentCase& component) {
  const auto limit = severity::first_like_limit(judging.result.policy);
  return limit && component.balanced_spread &&
         !limit->reached_by(component.balanced_spread->value());
}

Verdict decide(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  const ElectricalResult* reading = judging.reading_of(index);
  Witnesses w;
  w.hot = component.hot;
  w.currents_explain_it = currents_explain(judging, component);
  if (component.voltage) {
    const auto& voltage = judging.motor_result().electrical[*component.voltage];
    w.voltage_abnormal = *voltage.unbalance > electrical::kNormalVoltageUnbalance;
  }
  w.has_reading = reading != nullptr;
  if (reading) {
    w.reading_abnormal = is_abnormal(*reading);
    w.same_phase = reading->resolution->may_mean(judging.lug(component.hottest).phase);
  }
  return verdict_from(w);
}

}  // namespace ohmglow::diagnosis
