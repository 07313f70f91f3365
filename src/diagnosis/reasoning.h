#pragma once
// Explanations by Bayes' rule from tables of causes and of what was seen, whatever they are of.

#include "bayes.h"
#include "ohmglow/explanations.h"

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::diagnosis {

struct CauseRow {
  std::string_view id;
  std::string_view title;
  double prior;
};

// A fact that was seen, with its likelihood under each cause.
struct SeenFact {
  std::string_view id;
  std::string_view text;
  std::span<const double> likelihood;
};

struct Reasoned {
  std::vector<double> probability;  // of each cause, in the table's order
  Explained explained;              // without its tests
};
// The table's priors, or those that a policy gives under the causes' ids, brought to a sum of 1,
// and what the facts make of them.
[[nodiscard]] Reasoned reason(std::span<const CauseRow> causes, std::span<const SeenFact> facts,
                              const std::map<std::string, double>& own_priors);

// A row of a table of tests, with what it is expected to tell.
template <class TestRow>
[[nodiscard]] NextTest next_test(const TestRow& row, std::span<const double> probability) {
  std::vector<std::vector<double>> outcomes;
  for (const auto& outcome : row.outcomes) {
    outcomes.emplace_back(outcome.likelihood.begin(), outcome.likelihood.end());
  }
  return {std::string(row.id), sentence(row.title), sentence(row.how),
          expected_gain_bits(probability, outcomes), row.effort_min};
}

}  // namespace ohmglow::diagnosis
