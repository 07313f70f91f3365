#include "ohmglow/manifest.h"

#include "ohmglow/records.h"
#include "ohmglow/version.h"
#include "records/findings_parts.h"
#include "records/json_values.h"
#include "records/manifest_run.h"
#include "records/manifest_words.h"

#include <fmt/format.h>
#include <opencv2/core/utility.hpp>
#include <span>
#include <string>

#ifdef __GLIBC__
#include <gnu/libc-version.h>
#endif

namespace ohmglow::records {
namespace {

constexpr std::string_view architecture() {
#if defined(__x86_64__)
  return "x86_64";
#elif defined(__aarch64__)
  return "aarch64";
#else
  return "other";
#endif
}

OrderedJson file_json(const FileRecord& file) {
  return {{"path", file.path}, {"bytes", file.bytes}, {"sha256", text_or_null(file.sha256)}};
}

OrderedJson arithmetic_json(const Arithmetic& arithmetic) {
  return {{"compiler", arithmetic.compiler},
          {"processor", arithmetic.processor},
          {"c_library", arithmetic.c_library},
          {"opencv", arithmetic.opencv}};
}

OrderedJson run_options_json(const RunOptions& options) {
  OrderedJson json = options_json(options.judging);
  json["max_pixels"] = options.max_pixels;
  json["formats"] = options.formats;
  json["paper"] = options.paper;
  json["language"] = options.language;
  json["units"] = options.units;
  json["decimal"] = options.decimal;
  return json;
}

}  // namespace

Arithmetic this_arithmetic() {
  Arithmetic arithmetic;
#if defined(__clang__)
  arithmetic.compiler = fmt::format("Clang {}", __clang_version__);
#else
  arithmetic.compiler = fmt::format("GCC {}", __VERSION__);
#endif
  // OpenCV and the C library choose their kernels by what the processor can do.
  arithmetic.processor = fmt::format("{} {}", architecture(), cv::getCPUFeaturesLine());
#ifdef __GLIBC__
  arithmetic.c_library = fmt::format("glibc {}", gnu_get_libc_version());
#else
  arithmetic.c_library = "other";
#endif
  arithmetic.opencv = cv::getVersionString();
  return arithmetic;
}

FileRecord record_of(std::string_view name, std::string_view content) {
  return {std::string(name), content.size(), sha256(std::as_bytes(std::span(content)))};
}

OrderedJson run_json(const Manifest& run) {
  return {{"version", 1},
          {"tool",
           {{"name", "ohmglow"},
            {"version", run.tool_version},
            {"arithmetic", arithmetic_json(run.arithmetic)}}},
          {"survey",
           {{"folder", run.survey_folder},
            {"from_output", run.survey_from_output},
            {"site", text_or_null(run.site)}}},
          {"options", run_options_json(run.options)},
          {"policy",
           {{"name", run.policy.name},
            {"origin", word_for(kPolicyOrigins, run.policy.origin)},
            {"text", run.policy.text}}}};
}

std::string manifest_json(const Manifest& manifest) {
  OrderedJson json = run_json(manifest);
  json["findings_sha256"] = manifest.findings_sha256;
  json["inputs"] = list_of(manifest.inputs, file_json);
  json["outputs"] = list_of(manifest.outputs, file_json);
  return dumped(json, 1) + "\n";
}

}  // namespace ohmglow::records
