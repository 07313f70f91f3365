#include "cli/run_manifest.h"

#include "ohmglow/version.h"

#include <filesystem>
#include <system_error>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

/// The way from one folder to another, links followed; either may not be there yet.
std::string way(const fs::path& from, const fs::path& to) {
  std::error_code error;
  const fs::path start = fs::weakly_canonical(fs::absolute(from, error), error);
  const fs::path end = fs::weakly_canonical(fs::absolute(to, error), error);
  return end.lexically_relative(start).generic_string();
}

}  // namespace

records::Manifest manifest_of(const Survey& survey, const records::PolicyText& policy,
                              const std::string& output) {
  records::Manifest manifest;
  manifest.tool_version = kVersion;
  manifest.arithmetic = records::this_arithmetic();
  manifest.survey_folder = survey.folder;
  manifest.survey_from_output = way(output, survey.folder);
  manifest.site = survey.site;
  manifest.policy = policy;
  return manifest;
}

bool is_this_program(const records::Manifest& manifest) {
  return manifest.tool_version == kVersion && manifest.arithmetic == records::this_arithmetic();
}

}  // namespace ohmglow::cli
