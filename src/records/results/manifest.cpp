#include "offered/results/manifest.h"

#include "offered/files/folder.h"
#include "ohmglow/version.h"
#include "records/files/json_document.h"
#include "records/files/json_values.h"
#include "records/files/shown.h"
#include "records/results/findings_parts.h"
#include "records/results/manifest_run.h"
#include "records/results/manifest_words.h"

#include <fmt/format.h>
#include <opencv2/core/utility.hpp>
#include <optional>
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

/// A file as a member of a list.
auto listed_file(FileRecord file) {
  return [file = std::move(file)](JsonWriter& json) {
    JsonObject object(json);
    object("path", file.path);
    object("bytes", file.bytes);
    object("sha256", file.sha256.empty() ? std::nullopt : std::optional(file.sha256));
  };
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
  json["detail"] = options.detail;
  json["language"] = options.language;
  json["units"] = options.units;
  json["decimal"] = options.decimal;
  return json;
}

OrderedJson file_json(const FileRecord& file) {
  return {{"path", file.path}, {"bytes", file.bytes}, {"sha256", text_or_null(file.sha256)}};
}

OrderedJson verify_json(const VerifyRun& run) {
  const diagnosis::VerifyOptions& options = run.options;
  OrderedJson downtime;
  if (options.downtime_h) {
    downtime = {{"low", options.downtime_h->low},
                {"likely", options.downtime_h->likely},
                {"high", options.downtime_h->high}};
  }
  return {{"before", {{"folder", run.survey_folder}, {"from_output", run.survey_from_output}}},
          {"load_ratio", options.load_ratio},
          {"emissivity_change", options.emissivity_change},
          {"price_per_kwh", or_null(options.price_per_kwh)},
          {"hours_per_year", or_null(options.hours_per_year)},
          {"repair_cost", or_null(options.repair_cost)},
          {"period_years", options.period_years},
          {"failure_probability", or_null(options.failure_probability)},
          {"downtime_h", downtime},
          {"inputs", list_of(run.inputs, file_json)}};
}

OrderedJson accept_json(const AcceptRun& run) {
  OrderedJson costs = OrderedJson::object();
  for (const auto& [check, cost] : run.request.costs) costs[std::string(id_of(check))] = cost;
  return {{"motor", run.request.motor},
          {"stage", id_of(run.request.stage)},
          {"costs", costs},
          {"limits", {{"name", run.limits.name}, {"text", run.limits.text}}}};
}

}  // namespace

std::string_view Manifest::json_file() const {
  if (accept) return kAcceptanceJson;
  return verify ? kVerificationJson : kFindingsFile;
}

Arithmetic this_arithmetic() {
  Arithmetic arithmetic;
#if defined(__clang__)
  // Clang ends its version with a blank, which a reader of the manifest would not find again.
  arithmetic.compiler = fmt::format("Clang {}", trimmed(__clang_version__));
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

Result<void> write_manifest(const Manifest& manifest, const Inputs& inputs, const Sink& sink) {
  Document document(sink);
  const OrderedJson run = run_json(manifest);
  for (auto member = run.begin(); member != run.end(); ++member) {
    document.add(member.key(), *member);
  }
  document.add("findings_sha256", manifest.findings_sha256);
  if (manifest.verify) document.add("verify", verify_json(*manifest.verify));
  if (manifest.accept) document.add("accept", accept_json(*manifest.accept));
  document.begin_list("inputs");
  for (std::size_t i = 0; i < inputs.count; ++i) {
    if (auto file = inputs.record(i)) document.item(item_text(listed_file(std::move(*file))));
  }
  document.end_list();
  document.add_list("outputs", manifest.outputs, listed_file);
  return document.finish();
}

std::string manifest_json(const Manifest& manifest) {
  const Inputs inputs{manifest.inputs.size(), [&](std::size_t i) { return manifest.inputs[i]; }};
  std::string text;
  static_cast<void>(
      write_manifest(manifest, inputs, [&text](std::string_view piece) -> Result<void> {
        text += piece;
        return {};
      }));
  return text;
}

}  // namespace ohmglow::records
