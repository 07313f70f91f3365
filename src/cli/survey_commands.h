#pragma once
/// What `assess`, `readings`, `serve` and `verify` share: opening a survey with its policy.

#include "ohmglow/diagnosis.h"
#include "ohmglow/manifest.h"
#include "ohmglow/result.h"
#include "ohmglow/severity.h"
#include "ohmglow/survey.h"

#include <CLI/CLI.hpp>
#include <cstdint>
#include <memory>
#include <string>

namespace ohmglow::cli {

struct SurveyOptions {
  std::string folder;
  std::string policy;
  std::string as_of;
  int reading_age_d = 365;
  bool tests_by_effort = false;
  diagnosis::Reference reference = diagnosis::Reference::coolest;
  diagnosis::Uncertainty uncertainty = diagnosis::Uncertainty::linear;
  severity::Decision decision = severity::Decision::simple;
  std::uint64_t seed = 1;
};

void add_survey_options(CLI::App& command, SurveyOptions& options);
/// The same without the folder.
void add_judging_options(CLI::App& command, SurveyOptions& options);

/// How numbers are worked out: reference, uncertainty, seed, decision rule.
void add_calculation_options(CLI::App& command, SurveyOptions& options);
/// How results are judged by these options.
[[nodiscard]] diagnosis::Options judging_from(const SurveyOptions& options);

struct ChosenPolicy {
  severity::Policy policy;
  records::PolicyText text;
};
/// The policy of that name, else the survey's own, else the default.
[[nodiscard]] Result<ChosenPolicy> choose_policy(const std::string& name, const Survey& survey);

struct OpenedSurvey {
  Survey survey;
  severity::Policy policy;
  records::PolicyText policy_text;
  diagnosis::Options judging;
};

/// A broken survey.json or policy is an error before anything is measured.
[[nodiscard]] Result<OpenedSurvey> open_survey(const SurveyOptions& options);

}  // namespace ohmglow::cli
