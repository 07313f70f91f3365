#include "reasoning.h"

#include "bayes.h"

#include <algorithm>
#include <numeric>

namespace ohmglow::diagnosis {
namespace {

// A fact this much more or less frequent than overall is an argument (house rule).
constexpr double kArgument = 1.1;
constexpr std::size_t kArgued = 2;

std::vector<double> priors_of(std::span<const CauseRow> causes,
                              const std::map<std::string, double>& own_priors) {
  std::vector<double> probability;
  for (const CauseRow& row : causes) {
    const auto own = own_priors.find(std::string(row.id));
    probability.push_back(own == own_priors.end() ? row.prior : own->second);
  }
  const double sum = std::accumulate(probability.begin(), probability.end(), 0.0);
  for (double& p : probability) p /= sum;
  return probability;
}

void argue(Explanation& explanation, std::size_t cause, std::span<const SeenFact> facts,
           const std::vector<double>& before) {
  for (const SeenFact& fact : facts) {
    const Argument argument{sentence(fact.text), fact.likelihood[cause],
                            mean(before, fact.likelihood)};
    if (argument.with_it > kArgument * argument.overall) explanation.in_favour.push_back(argument);
    if (argument.with_it * kArgument < argument.overall) explanation.against.push_back(argument);
  }
}

}  // namespace

Reasoned reason(std::span<const CauseRow> causes, std::span<const SeenFact> facts,
                const std::map<std::string, double>& own_priors) {
  const std::vector<double> before = priors_of(causes, own_priors);
  Reasoned reasoned{before, {}};
  for (const SeenFact& fact : facts) {
    reasoned.probability = posterior(reasoned.probability, fact.likelihood);
    reasoned.explained.seen.emplace_back(fact.id);
  }
  std::vector<std::size_t> order(causes.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&reasoned](std::size_t a, std::size_t b) {
    return reasoned.probability[a] > reasoned.probability[b];
  });
  std::vector<Explanation>& list = reasoned.explained.explanations;
  for (const std::size_t cause : order) {
    Explanation explanation{std::string(causes[cause].id),
                            sentence(causes[cause].title),
                            reasoned.probability[cause],
                            {},
                            {}};
    if (list.size() < kArgued) argue(explanation, cause, facts, before);
    list.push_back(std::move(explanation));
  }
  return reasoned;
}

}  // namespace ohmglow::diagnosis
