#include "bayes.h"
#include "explanations.h"
#include "judging.h"
#include "offered/electrical/heat_balance.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace ohmglow::diagnosis {
namespace {

// Currents farther than this from their mean count as unequal, % (house rule).
constexpr double kUnequalCurrent = 5;
// Emissivities that differ by more than this count as different finishes (house rule).
constexpr double kSameFinish = 0.05;
// A fact this much more or less frequent than overall is an argument (house rule).
constexpr double kArgument = 1.1;
constexpr std::size_t kArgued = 2;

constexpr std::array<std::string_view, 6> kSwitchWords{"disconnect", "starter", "contactor",
                                                       "breaker",    "switch",  "drive"};

Fact heat_of(const Judging& judging, const ComponentCase& component) {
  if (!component.hot) return Fact::heat_even;
  return currents_explain(judging, component) ? Fact::heat_follows_currents : Fact::heat_one_lug;
}

// Whether even the least heat that the hot lug sheds would put the pairs over the limit: then
// readings in balance contradict the heat, and do not merely miss it.
bool reading_would_show(const Judging& judging, std::size_t index,
                        const ElectricalResult& reading) {
  const ComponentCase& component = judging.components[index];
  const LugResult& lug = judging.lug(component.hottest);
  if (component.size.size == Size::unknown) return false;
  const auto& legs = reading.resolution->legs;
  const std::size_t i = index_of(lug.phase);
  const Ohm sound = (legs.at((i + 1) % 3) + legs.at((i + 2) % 3)) * 0.5;
  return electrical::pair_unbalance_from(Ohm{component.size.ohm.low}, sound) >
         electrical::kNormalPairUnbalance;
}

// A meter that could not have seen the heat says nothing.
std::optional<Fact> resistance_of(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  const ElectricalResult* reading = judging.reading_of(index);
  if (!reading) return std::nullopt;
  if (!component.ohms->abnormal || component.ohms->explained_by) {
    if (component.hot && !reading_would_show(judging, index, *reading)) return std::nullopt;
    return Fact::resistance_in_balance;
  }
  if (reading->resolution->points_to == electrical::PointsTo::winding) {
    return Fact::resistance_one_pair;
  }
  const bool same = reading->resolution->may_mean(judging.lug(component.hottest).phase);
  return component.hot && same ? Fact::resistance_names_hot_lug : Fact::resistance_names_other;
}

std::optional<Fact> voltage_of(const Judging& judging, const ComponentCase& component) {
  if (!component.voltage) return std::nullopt;
  const auto& reading = judging.motor_result().electrical[*component.voltage];
  return *reading.unbalance > electrical::kNormalVoltageUnbalance ? Fact::voltage_unbalanced
                                                                  : Fact::voltage_balanced;
}

std::optional<Fact> current_of(const ComponentResult& component) {
  std::array<double, 3> amperes{};
  for (std::size_t i = 0; i < 3; ++i) {
    if (!component.load_a.at(i)) return std::nullopt;
    amperes.at(i) = component.load_a.at(i)->value();
  }
  const auto unbalance = electrical::unbalance(amperes);
  if (!unbalance) return std::nullopt;
  return unbalance->value() > kUnequalCurrent ? Fact::current_unequal : Fact::current_even;
}

std::optional<Fact> surface_of(const Judging& judging, const ComponentCase& component) {
  if (!component.hot) return std::nullopt;
  const LugResult& hot = judging.lug(component.hottest);
  const bool differs =
      std::any_of(component.lugs.begin(), component.lugs.end(), [&](const LugIndex& at) {
        return std::fabs(judging.lug(at).emissivity.value() - hot.emissivity.value()) > kSameFinish;
      });
  return differs || hot.has(Flag::low_emissivity) ? Fact::surface_differs : Fact::surface_alike;
}

std::optional<Fact> place_of(const std::string& component) {
  if (component.empty()) return std::nullopt;
  const std::string name = folded(component);
  const bool is_switch =
      std::any_of(kSwitchWords.begin(), kSwitchWords.end(),
                  [&name](std::string_view word) { return name.find(word) != std::string::npos; });
  return is_switch ? Fact::place_switch : Fact::place_connection;
}

std::vector<Fact> facts_of(const Judging& judging, std::size_t index) {
  const ComponentCase& component = judging.components[index];
  const ComponentResult& result = judging.result.components[index];
  std::vector<Fact> facts{heat_of(judging, component)};
  for (const auto& fact :
       {resistance_of(judging, index), voltage_of(judging, component), current_of(result),
        surface_of(judging, component), place_of(result.component)}) {
    if (fact) facts.push_back(*fact);
  }
  return facts;
}

std::vector<double> prior() {
  std::vector<double> probability;
  for (const CauseRow& row : cause_rows()) probability.push_back(row.prior);
  return probability;
}

void argue(Explanation& explanation, std::size_t cause, const std::vector<Fact>& facts) {
  const std::vector<double> before = prior();
  for (const Fact fact : facts) {
    const FactRow& row = row_of(fact);
    const Argument argument{sentence(row.text), row.likelihood.at(cause),
                            mean(before, row.likelihood)};
    if (argument.with_it > kArgument * argument.overall) explanation.in_favour.push_back(argument);
    if (argument.with_it * kArgument < argument.overall) explanation.against.push_back(argument);
  }
}

std::vector<Explanation> explanations_of(const std::vector<double>& probability,
                                         const std::vector<Fact>& facts) {
  std::vector<std::size_t> order(probability.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&probability](std::size_t a, std::size_t b) {
    return probability[a] > probability[b];
  });
  std::vector<Explanation> list;
  for (const std::size_t cause : order) {
    const CauseRow& row = cause_rows().at(cause);
    Explanation explanation{std::string(row.id), sentence(row.title), probability[cause], {}, {}};
    if (list.size() < kArgued) argue(explanation, cause, facts);
    list.push_back(std::move(explanation));
  }
  return list;
}

std::vector<NextTest> tests_for(const std::vector<double>& probability, bool has_reading,
                                bool by_effort) {
  std::vector<NextTest> tests;
  for (const TestRow& row : test_rows()) {
    if (row.needs_no_reading && has_reading) continue;
    std::vector<std::vector<double>> outcomes;
    for (const OutcomeRow& outcome : row.outcomes) {
      outcomes.emplace_back(outcome.likelihood.begin(), outcome.likelihood.end());
    }
    tests.push_back({std::string(row.id), sentence(row.title), sentence(row.how),
                     expected_gain_bits(probability, outcomes), row.effort_min});
  }
  const auto worth = [by_effort](const NextTest& test) {
    return by_effort ? test.gain_bits / test.effort_min : test.gain_bits;
  };
  std::stable_sort(tests.begin(), tests.end(),
                   [&worth](const NextTest& a, const NextTest& b) { return worth(a) > worth(b); });
  return tests;
}

}  // namespace

Explained explain(const Judging& judging, std::size_t component) {
  const std::vector<Fact> facts = facts_of(judging, component);
  std::vector<double> probability = prior();
  for (const Fact fact : facts) probability = posterior(probability, row_of(fact).likelihood);
  return {explanations_of(probability, facts),
          tests_for(probability, judging.reading_of(component) != nullptr,
                    judging.result.options.tests_by_effort)};
}

Sentence telling_test(const Explained& explained) {
  if (explained.tests.empty()) return {};
  return sentence("The test that would tell most now: {}.", explained.tests.front().title);
}

}  // namespace ohmglow::diagnosis
