#include "explanations.h"
#include "judging.h"
#include "rotor_causes.h"

#include <algorithm>
#include <cmath>

namespace ohmglow::diagnosis {
namespace {

// Emissivities that differ by more than this count as different finishes (house rule).
constexpr double kSameFinish = 0.05;
// Below this a surface counts as bare metal (house rule).
constexpr double kBareSurface = 0.65;
// The middle lug of three, by its share of the way from the coolest to the hottest: below the first
// one lug is hot alone, above the second two are (house rules).
constexpr double kAlone = 0.2;
constexpr double kTwo = 0.7;
// A rise this many times what chance reaches stands far out (house rule).
constexpr double kFarOut = 2;
// A lug of one temperature differs over its face by less than this share of its rise; a mirrored
// body does not cover it all (house rule).
constexpr double kPartOfLug = 0.1;
constexpr std::array<std::string_view, 6> kSwitchWords{"disconnect", "starter", "contactor",
                                                       "breaker",    "switch",  "drive"};

constexpr std::string_view kTapeTest = "emissivity_tape";

double rise_or_zero(const LugResult& lug) {
  const auto& rise = counting_rise(lug);
  return rise ? rise->value() : 0;
}

// Where the second hottest phase stands between the coolest and the hottest; absent for two lugs.
std::optional<double> middle_share(const Judging& judging, const ComponentCase& component) {
  std::vector<double> rises;
  for (const LugIndex at : component.lugs) rises.push_back(rise_or_zero(judging.lug(at)));
  if (rises.size() < 3) return std::nullopt;
  std::sort(rises.begin(), rises.end());
  const double range = rises.back() - rises.front();
  if (!(range > 0)) return std::nullopt;
  return (rises[rises.size() - 2] - rises.front()) / range;
}

std::optional<Fact> heat_of(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  if (!component.hot) {
    if (!judging.result.components[index].why_not_judged.empty()) return std::nullopt;
    return Fact::heat_even;
  }
  if (currents_explain(judging, component)) return Fact::heat_follows_currents;
  const auto middle = middle_share(judging, component);
  if (!middle || *middle < kAlone) return Fact::heat_one_lug;
  return *middle < kTwo ? Fact::heat_uneven : Fact::heat_two_lugs;
}

std::optional<Fact> strength_of(const Judging& judging, const ComponentCase& component) {
  if (!component.hot) return std::nullopt;
  const LugResult& lug = judging.lug(component.hottest);
  return rise_or_zero(lug) < kFarOut * *lug.hot_from_k ? Fact::heat_slight : Fact::heat_strong;
}

// How far the hottest spot of a lug stands above its mean.
double concentration_k(const LugResult& lug) {
  return lug.temperature_c->value() - lug.mean_c;
}

std::optional<Fact> spot_of(const Judging& judging, const ComponentCase& component) {
  if (!component.hot) return std::nullopt;
  const LugResult& hot = judging.lug(component.hottest);
  double of_others = 0;
  double others = 0;
  for (const LugIndex at : component.lugs) {
    if (at.image != component.hottest.image || at.lug == component.hottest.lug) continue;
    of_others += concentration_k(judging.lug(at));
    ++others;
  }
  if (others == 0) return std::nullopt;
  const double part = (concentration_k(hot) - of_others / others) / rise_or_zero(hot);
  return part > kPartOfLug ? Fact::spot_part : Fact::spot_whole;
}

// Whether even the least heat that the hot lug sheds would put the pairs over the limit: then
// readings in balance contradict the heat, and do not merely miss it.
bool reading_would_show(const Judging& judging, const ComponentCase& component,
                        const ElectricalResult& reading) {
  const LugResult& lug = judging.lug(component.hottest);
  if (component.size.size == Size::unknown) return false;
  const auto& legs = reading.resolution->legs;
  const std::size_t i = index_of(lug.phase);
  const Ohm sound = (legs.at((i + 1) % 3) + legs.at((i + 2) % 3)) * 0.5;
  return electrical::pair_unbalance_from(Ohm{component.size.ohm.low}, sound) >
         electrical::kNormalPairUnbalance;
}

// One pair high alone: no joint in a lead makes it, neither in a wye nor in a delta.
bool one_pair_alone(const ElectricalResult& reading) {
  constexpr double kNearLow = 1.0 / 3;
  std::array<double, 3> pairs = reading.values;
  std::sort(pairs.begin(), pairs.end());
  return pairs[1] - pairs[0] < kNearLow * (pairs[2] - pairs[0]);
}

// A meter that could not have seen the heat says nothing.
std::optional<Fact> resistance_of(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  const ElectricalResult* reading = judging.reading_of(index);
  if (!reading) return std::nullopt;
  if (!reading->abnormal || component.ohms->explained_by) {
    if (component.hot && !reading_would_show(judging, component, *reading)) return std::nullopt;
    return Fact::resistance_in_balance;
  }
  if (!component.ohms->beyond && one_pair_alone(*reading)) return Fact::resistance_one_pair;
  if (!component.hot) return Fact::resistance_without_heat;
  const Witnesses w = witnesses_of(judging, index);
  if (!w.same_phase) return Fact::resistance_names_other;
  return component.size.size == Size::agrees ? Fact::resistance_one_size
                                             : Fact::resistance_other_size;
}

std::optional<Fact> stretch_of(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  const ElectricalResult* reading = judging.reading_of(index);
  if (!reading || !component.ohms->beyond || !reading->abnormal) return std::nullopt;
  return component.ohms->abnormal ? Fact::stretch_bad : Fact::stretch_sound;
}

std::optional<Fact> joint_fact_of(const Judging& judging, std::size_t index) {
  const JointResult* joint = judging.joint_of(index);
  if (!joint) return std::nullopt;
  return joint->bad ? Fact::joint_bad : Fact::joint_alike;
}

std::optional<Fact> voltage_of(const Judging& judging, const ComponentCase& component) {
  if (!component.voltage) return std::nullopt;
  const auto& reading = judging.motor_result().electrical[*component.voltage];
  return reading.abnormal ? Fact::voltage_unbalanced : Fact::voltage_balanced;
}

std::optional<Fact> current_of(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  const auto& loads = judging.result.components[index].load_a;
  if (component.open_phase) return Fact::current_none;
  if (!loads[0] || !loads[1] || !loads[2]) return std::nullopt;
  return component.currents_unequal ? Fact::current_unequal : Fact::current_even;
}

std::optional<Fact> surface_of(const Judging& judging, const ComponentCase& component) {
  if (!component.hot) return std::nullopt;
  const LugResult& hot = judging.lug(component.hottest);
  const bool differs =
      std::any_of(component.lugs.begin(), component.lugs.end(), [&](const LugIndex& at) {
        return std::fabs(judging.lug(at).emissivity.value() - hot.emissivity.value()) > kSameFinish;
      });
  if (differs) return Fact::surface_differs;
  return hot.emissivity.value() < kBareSurface ? Fact::surface_bare : Fact::surface_alike;
}

std::optional<Fact> place_of(const std::string& component) {
  if (component.empty()) return std::nullopt;
  const std::string name = folded(component);
  const bool is_switch =
      std::any_of(kSwitchWords.begin(), kSwitchWords.end(),
                  [&name](std::string_view word) { return name.find(word) != std::string::npos; });
  return is_switch ? Fact::place_switch : Fact::place_connection;
}

std::optional<Fact> feed_of(const Motor* motor) {
  if (!motor || motor->fed_by == Feed::unknown) return std::nullopt;
  return motor->fed_by == Feed::drive ? Fact::feed_drive : Fact::feed_line;
}

// What the motor's other components show at the same visit.
std::optional<Fact> others_of(const Judging& judging, std::size_t index) {
  const ComponentCase& here = judging.components[index];
  if (!here.hot) return std::nullopt;
  std::optional<Fact> seen;
  for (std::size_t c = 0; c < judging.components.size(); ++c) {
    const ComponentCase& its = judging.components[c];
    if (c == index || its.day != here.day) continue;
    if (!its.hot) {
      if (!seen) seen = Fact::others_even;
      continue;
    }
    const bool same = judging.lug(its.hottest).phase == judging.lug(here.hottest).phase;
    if (same) return Fact::others_same_phase;
    seen = Fact::others_other_phase;
  }
  return seen;
}

std::optional<Fact> note_of(const Judging& judging, std::size_t index) {
  bool has_note = false;
  for (const std::size_t image : judging.result.components[index].images) {
    const std::string note = folded(judging.result.survey.images[image].note);
    if (note.empty()) continue;
    has_note = true;
    if (note.find("reflect") != std::string::npos || note.find("mirror") != std::string::npos)
      return Fact::note_reflection;
    if (note.find("sun") != std::string::npos) return Fact::note_sun;
  }
  return has_note ? std::optional(Fact::note_none) : std::nullopt;
}

std::optional<Fact> rotor_of(const Judging& judging) {
  const Survey& survey = judging.result.survey;
  if (survey.sweeps.empty() && survey.air_gaps.empty()) return std::nullopt;
  const RotorSeen seen = seen_of(rotor::rotors(survey), judging.motor_result().motor);
  const bool gap_is_out = seen.gap == rotor::Conformity::fail;
  if (gap_is_out || seen.sweep == rotor::Pattern::once_a_turn ||
      seen.sweep == rotor::Pattern::pole_pattern) {
    return Fact::rotor_uneven;
  }
  if (seen.sweep == rotor::Pattern::pairs_differ) return Fact::rotor_pairs_differ;
  const bool any = seen.sweep || seen.gap == rotor::Conformity::pass;
  return any ? std::optional(Fact::rotor_even) : std::nullopt;
}

std::vector<Fact> facts_of(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  std::vector<Fact> facts;
  for (const auto& fact :
       {heat_of(judging, index), strength_of(judging, component), spot_of(judging, component),
        resistance_of(judging, index), stretch_of(judging, index), joint_fact_of(judging, index),
        voltage_of(judging, component), current_of(judging, index), surface_of(judging, component),
        place_of(judging.result.components[index].component), feed_of(judging.row),
        others_of(judging, index), note_of(judging, index), rotor_of(judging)}) {
    if (fact) facts.push_back(*fact);
  }
  return facts;
}

// As much of the rated current as a new image at higher load asks for.
bool has_load(const Judging& judging, std::size_t component) {
  constexpr double kHigherLoad = 0.7;
  const auto& load = judging.result.components[component].mean_load_a;
  return load && judging.row && judging.row->rated_a &&
         load->value() >= kHigherLoad * judging.row->rated_a->value();
}

bool is_offered(TestNeeds needs, const Judging& judging, std::size_t component) {
  const bool has_reading = judging.reading_of(component) != nullptr;
  switch (needs) {
    case TestNeeds::nothing:
      return true;
    case TestNeeds::reading:
      return has_reading;
    case TestNeeds::no_reading:
      return !has_reading;
    case TestNeeds::drive:
      return judging.row && judging.row->fed_by == Feed::drive;
    case TestNeeds::no_joint_reading:
      return judging.joint_of(component) == nullptr;
    case TestNeeds::no_voltage:
      return !judging.components[component].voltage;
    case TestNeeds::low_load:
      return !has_load(judging, component);
  }
  return true;
}

bool has(const std::vector<Fact>& facts, Fact fact) {
  return std::find(facts.begin(), facts.end(), fact) != facts.end();
}

// Where the hot lug is bare and no ohms have spoken for its joint, whether there is heat at all
// comes before any ohms, whatever they would tell (common practice, no source).
bool tape_comes_first(const std::vector<Fact>& facts) {
  return has(facts, Fact::surface_bare) && !has(facts, Fact::resistance_one_size) &&
         !has(facts, Fact::joint_bad);
}

std::vector<NextTest> tests_for(const std::vector<double>& probability,
                                const std::vector<Fact>& facts, const Judging& judging,
                                std::size_t component) {
  std::vector<NextTest> tests;
  for (const TestRow& row : test_rows()) {
    if (!is_offered(row.needs, judging, component)) continue;
    tests.push_back(next_test(row, probability));
  }
  const bool by_effort = judging.result.options.tests_by_effort;
  const auto worth = [by_effort](const NextTest& test) {
    return by_effort ? test.gain_bits / test.effort_min : test.gain_bits;
  };
  std::stable_sort(tests.begin(), tests.end(),
                   [&worth](const NextTest& a, const NextTest& b) { return worth(a) > worth(b); });
  if (tape_comes_first(facts)) {
    std::stable_partition(tests.begin(), tests.end(),
                          [](const NextTest& test) { return test.id == kTapeTest; });
  }
  return tests;
}

}  // namespace

Explained explain(const Judging& judging, std::size_t component) {
  const std::vector<Fact> facts = facts_of(judging, component);
  std::vector<SeenFact> seen;
  for (const Fact fact : facts) {
    const FactRow& row = row_of(fact);
    seen.push_back({row.id, row.text, row.likelihood});
  }
  Reasoned reasoned = reason(cause_rows(), seen, judging.result.policy.priors);
  reasoned.explained.tests = tests_for(reasoned.probability, facts, judging, component);
  return std::move(reasoned.explained);
}

std::vector<std::string> explanation_ids() {
  std::vector<std::string> ids;
  for (const CauseRow& row : cause_rows()) ids.emplace_back(row.id);
  for (const CauseRow& row : rotor_cause_rows()) ids.emplace_back(row.id);
  return ids;
}

Sentence with_telling_test(Sentence step, Verdict verdict, const Explained& explained) {
  switch (verdict) {
    case Verdict::confirmed:  // known: what is left is the repair
    case Verdict::even:
    case Verdict::not_judged:
    case Verdict::open_phase:
      return step;
    default:
      break;
  }
  if (explained.tests.empty() || holds_test(verdict, explained.tests.front().id)) return step;
  const NextTest& test = explained.tests.front();
  const auto rows = test_rows();
  const auto row = std::find_if(rows.begin(), rows.end(),
                                [&test](const TestRow& known) { return known.id == test.id; });
  if (row != rows.end() && row->motor == WhileMotor::runs) {
    return sentences(
        {sentence("Best first, with the motor running: {}.", test.title), std::move(step)});
  }
  if (test.id == kTapeTest) {
    return sentences(
        {sentence("Best first, locked out and verified dead: {}.", test.title), std::move(step)});
  }
  return sentences(
      {std::move(step), sentence("Best test while it is locked out: {}.", test.title)});
}

}  // namespace ohmglow::diagnosis
