#pragma once
/// What may lie behind the evidence of a component, or behind that of a rotor, how likely each of
/// it is, and which test would tell the most. The tables are in src/diagnosis/explanations.cpp and
/// rotor_causes.cpp.

#include "ohmglow/rotor.h"
#include "ohmglow/sentence.h"
#include "ohmglow/survey.h"

#include <map>
#include <optional>
#include <string>
#include <string_view>
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

/// What may lie behind the latest sweep and air gap of a motor, with its vibration on the bench and
/// its currents where readings.csv has them; absent where neither a sweep nor an air gap tells
/// anything. `rotors` may hold other motors too; `priors` are a policy's own.
[[nodiscard]] std::optional<Explained> explain_rotor(
    const Survey& survey, std::string_view motor, const rotor::Rotors& rotors,
    const std::map<std::string, double>& priors = {});

/// The ids of all explanations, as policies may give their priors.
[[nodiscard]] std::vector<std::string> explanation_ids();

}  // namespace ohmglow::diagnosis
