#pragma once
/// The options of every command that judges a survey.

#include "ohmglow/diagnosis.h"
#include "ohmglow/severity.h"

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
  diagnosis::Unconfirmed unconfirmed = diagnosis::Unconfirmed::measure;
  diagnosis::Reference reference = diagnosis::Reference::coolest;
  diagnosis::Uncertainty uncertainty = diagnosis::Uncertainty::linear;
  severity::Decision decision = severity::Decision::simple;
  std::uint64_t seed = 1;
};

void add_survey_options(CLI::App& command, SurveyOptions& options);
/// The same without the folder.
void add_judging_options(CLI::App& command, SurveyOptions& options);

/// Those of them that a command needs which judges by its own limits.
void add_measuring_options(CLI::App& command, SurveyOptions& options);

/// How numbers are worked out: reference, uncertainty, seed, decision rule.
void add_calculation_options(CLI::App& command, SurveyOptions& options);
/// How results are judged by these options.
[[nodiscard]] diagnosis::Options judging_from(const SurveyOptions& options);

}  // namespace ohmglow::cli
