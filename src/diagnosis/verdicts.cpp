#include "judging.h"

#include <array>

namespace ohmglow::diagnosis {
namespace {

struct Rule {
  Verdict verdict;
  bool (*holds)(const Witnesses&);
};

bool readings_in_balance(const Witnesses& w) {
  return !w.reading_abnormal && !w.joint_bad;
}
// Hot lugs whose heat the currents account for, or even lugs on unequal currents.
bool currents_tell(const Witnesses& w) {
  return readings_in_balance(w) && (w.hot ? w.currents_explain_it : w.currents_unequal);
}
// The reading of the circuit counts for a joint that its own meter does not clear.
bool same_phase(const Witnesses& w) {
  return w.joint_bad ? w.joint_same_phase : w.reading_abnormal && !w.joint_sound && w.same_phase;
}
bool other_phase(const Witnesses& w) {
  return w.joint_bad ? !w.joint_same_phase : w.reading_abnormal && !w.joint_sound && !w.same_phase;
}

// The first rule that holds decides.
constexpr std::array<Rule, kVerdicts> kOrderOfDecision{{
    {Verdict::open_phase, [](const Witnesses& w) { return w.open_phase; }},
    {Verdict::not_judged,
     [](const Witnesses& w) { return !w.hot && !w.could_show && !w.joint_bad; }},
    {Verdict::supply_unbalance,
     [](const Witnesses& w) { return currents_tell(w) && w.voltage_abnormal; }},
    {Verdict::load_unbalance, currents_tell},
    {Verdict::no_reading,
     [](const Witnesses& w) { return !w.has_reading && !w.joint_bad && !w.joint_sound; }},
    {Verdict::confirmed,
     [](const Witnesses& w) {
       return w.hot && same_phase(w) && w.same_size && !w.currents_explain_it;
     }},
    {Verdict::phase_agrees, [](const Witnesses& w) { return w.hot && same_phase(w); }},
    {Verdict::phase_conflict, [](const Witnesses& w) { return w.hot && other_phase(w); }},
    {Verdict::heat_only, [](const Witnesses& w) { return w.hot; }},
    {Verdict::reading_only, [](const Witnesses& w) { return !readings_in_balance(w); }},
    {Verdict::even, [](const Witnesses&) { return true; }},
}};

// What the currents leave must be less than this share of the rise, or they explain little of it
// (house rule).
constexpr double kMostLeft = 0.6;

}  // namespace

Verdict verdict_from(const Witnesses& w) {
  for (const Rule& rule : kOrderOfDecision) {
    if (rule.holds(w)) return rule.verdict;
  }
  return Verdict::even;
}

bool currents_explain(const Judging& judging, const ComponentCase& component) {
  if (!component.balanced_spread || !component.unexplained_from_k || !component.currents_unequal) {
    return false;
  }
  const LugResult& hottest = judging.lug(component.hottest);
  if (!hottest.rise_over_like) return false;
  const double left = component.balanced_spread->value();
  return left < *component.unexplained_from_k && left < kMostLeft * hottest.rise_over_like->value();
}

// A winding's unbalance is no witness to a joint's heat.
bool points_into_winding(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  return component.ohms && !component.ohms->beyond &&
         judging.reading_of(index)->resolution->points_to == electrical::PointsTo::winding;
}

Witnesses witnesses_of(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  Witnesses w;
  w.open_phase = component.open_phase.has_value();
  w.could_show = judging.result.components[index].why_not_judged.empty();
  w.hot = component.hot;
  w.currents_explain_it = currents_explain(judging, component);
  w.currents_unequal = component.currents_unequal;
  if (component.voltage) {
    const auto& voltage = judging.motor_result().electrical[*component.voltage];
    w.voltage_abnormal =
        exceeds(voltage.unbalance->value(), electrical::kNormalVoltageUnbalance.value());
  }
  const Phase hot_phase = judging.lug(component.hottest).phase;
  if (component.ohms) {
    const ElectricalResult& reading = *judging.reading_of(index);
    w.has_reading = true;
    w.reading_abnormal = component.ohms->abnormal && !component.ohms->explained_by &&
                         !(w.hot && points_into_winding(judging, index));
    w.same_phase = component.ohms->beyond ? component.ohms->phase == hot_phase
                                          : reading.resolution->may_mean(hot_phase);
  }
  if (const JointResult* joint = judging.joint_of(index)) {
    w.joint_bad = joint->bad;
    w.joint_sound = !joint->bad;
    w.joint_same_phase = joint->phase == hot_phase;
  }
  // A joint that its own meter calls bad needs no sizes to be believed, unless they contradict.
  w.same_size =
      component.size.size == Size::agrees || (w.joint_bad && component.size.size == Size::unknown);
  return w;
}

}  // namespace ohmglow::diagnosis
