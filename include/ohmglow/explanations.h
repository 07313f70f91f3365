#pragma once
/// What may lie behind the evidence of a component, how likely each of it is, and which test would
/// tell the most. The tables are in src/diagnosis/explanations.cpp.

#include "ohmglow/sentence.h"

#include <string>
#include <vector>

namespace ohmglow::diagnosis {

/// An observation that speaks for or against an explanation. Both shares are modelled, not counted
/// (docs/method.md).
struct Argument {
  Sentence text;
  double with_it = 0;  ///< how often it is seen where the explanation holds
  double overall = 0;  ///< how often it is seen over all explanations, before this observation
};

struct Explanation {
  std::string id;
  Sentence title;
  double probability = 0;
  std::vector<Argument> in_favour;  ///< of the likeliest two only
  std::vector<Argument> against;
};

struct NextTest {
  std::string id;
  Sentence title;
  Sentence how;
  double gain_bits = 0;   ///< expected fall of the Shannon entropy over the explanations
  double effort_min = 0;  ///< minutes, a house rule
};

/// By falling probability, which sum to 1; and the tests by falling gain (or gain per minute).
struct Explained {
  std::vector<std::string> seen;  ///< ids of the observations that they rest on
  std::vector<Explanation> explanations;
  std::vector<NextTest> tests;
};

/// The ids of all explanations, as policies may give their priors.
[[nodiscard]] std::vector<std::string> explanation_ids();

}  // namespace ohmglow::diagnosis
