#include "offered/results/manifest.h"
#include "ohmglow/version.h"
#include "records/files/files.h"
#include "records/files/json_text.h"
#include "records/files/shown.h"
#include "records/results/manifest_run.h"
#include "records/results/manifest_words.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

constexpr std::size_t kMostFiles = 10'000'000;
constexpr std::size_t kMostFormats = 100;
constexpr int kMostDays = 1'000'000;

/// A text as it stands, not trimmed: a policy's, a path.
ReadJson whole_text_into(std::string& slot) {
  return [&slot](const Json& value) -> Result<void> {
    if (!value.is_string()) return fail(wrong_type(value, "a text in quotes"));
    slot = value.get_ref<const std::string&>();
    return {};
  };
}

/// Null stands for "not known".
ReadJson unless_null(ReadJson read) {
  return [read = std::move(read)](const Json& value) -> Result<void> {
    if (value.is_null()) return {};
    return read(value);
  };
}

/// Every whole number of 64 bits, not only those that a double holds.
ReadJson count_into(std::uint64_t& slot) {
  return [&slot](const Json& value) -> Result<void> {
    if (!value.is_number_unsigned()) return fail(wrong_type(value, "a whole number from 0 up"));
    slot = value.get<std::uint64_t>();
    return {};
  };
}

ReadJson day_into(std::chrono::sys_days& slot) {
  return [&slot](const Json& value) -> Result<void> {
    const auto text = text_from(value);
    if (!text) return fail(text.error());
    const auto moment = Moment::parse(*text);
    if (!moment)
      return fail({.kind = ErrorKind::invalid_value,
                   .what = "this is not a date",
                   .found = shown(*text),
                   .expected = "a date such as 2026-03-04, from 1900 to 2199"});
    slot = moment->day;
    return {};
  };
}

ReadJson sha256_into(std::string& slot) {
  return [&slot](const Json& value) -> Result<void> {
    constexpr std::size_t kDigits = 64;
    const auto text = text_from(value);
    if (!text) return fail(text.error());
    if (text->size() != kDigits || text->find_first_not_of("0123456789abcdef") != std::string::npos)
      return fail({.kind = ErrorKind::invalid_value,
                   .what = "this is no SHA-256",
                   .found = shown(*text),
                   .expected = "64 lower-case hexadecimal digits"});
    slot = *text;
    return {};
  };
}

/// A path as the program itself writes it: relative, normal, with forward slashes, and inside its
/// folder.
Result<void> check_path(const std::string& path) {
  const bool is_inside = !path.empty() && path.front() != '/' && normal_path(path) == path &&
                         path.find('\0') == std::string::npos && path != "." && path != ".." &&
                         !path.starts_with("../") && !(path.size() > 1 && path[1] == ':');
  if (is_inside) return {};
  return fail({.kind = ErrorKind::outside_survey,
               .what = "this path is not one that a manifest may hold",
               .found = shown(path),
               .expected = "a path inside the folder, relative to it"});
}

Result<void> check_way(const std::string& path) {
  if (!path.empty() && path.front() != '/' && path.find('\0') == std::string::npos) return {};
  return fail({.kind = ErrorKind::outside_survey,
               .what = "this path is not one that a manifest may hold",
               .found = shown(path),
               .expected = "the way from the output folder to the survey, relative",
               .mend = "name the survey with --survey"});
}

ReadJson files_into(std::vector<FileRecord>& slot) {
  return [&slot](const Json& value) -> Result<void> {
    std::set<std::string> seen;
    return read_array(value, 0, kMostFiles, [&](const Json& item) -> Result<void> {
      FileRecord file;
      auto read =
          read_object(item, {{"path", Need::required, whole_text_into(file.path)},
                             {"bytes", Need::required, count_into(file.bytes)},
                             {"sha256", Need::required, unless_null(sha256_into(file.sha256))}});
      if (!read) return read;
      if (auto inside = check_path(file.path); !inside) return inside;
      if (!seen.insert(file.path).second)
        return fail({.kind = ErrorKind::conflict,
                     .what = "this file is named twice",
                     .found = shown(file.path)});
      slot.push_back(std::move(file));
      return {};
    });
  };
}

ReadJson tool_into(Manifest& manifest) {
  return [&manifest](const Json& value) -> Result<void> {
    std::string name;
    Arithmetic& how = manifest.arithmetic;
    const auto arithmetic = [&how](const Json& item) {
      return read_object(item, {{"compiler", Need::required, text_into(how.compiler)},
                                {"processor", Need::required, text_into(how.processor)},
                                {"c_library", Need::required, text_into(how.c_library)},
                                {"opencv", Need::required, text_into(how.opencv)}});
    };
    return read_object(value, {{"name", Need::required, text_into(name)},
                               {"version", Need::required, text_into(manifest.tool_version)},
                               {"arithmetic", Need::required, arithmetic}});
  };
}

ReadJson options_into(RunOptions& options) {
  return [&options](const Json& value) -> Result<void> {
    diagnosis::Options& judging = options.judging;
    double guard_factor = 0;
    const auto formats = [&options](const Json& items) {
      return read_array(items, 0, kMostFormats, [&options](const Json& item) {
        return text_into(options.formats.emplace_back())(item);
      });
    };
    auto read = read_object(
        value, {{"reference", Need::required, word_into(judging.reference, kReferences)},
                {"reading_age_d", Need::required,
                 [&judging](const Json& item) -> Result<void> {
                   const auto days = number_from(item, whole_numbers(0, kMostDays));
                   if (!days) return fail(days.error());
                   judging.reading_age_d = static_cast<int>(*days);
                   return {};
                 }},
                {"tests_by_effort", Need::required, flag_into(judging.tests_by_effort)},
                {"unconfirmed", Need::optional, word_into(judging.unconfirmed, kUnconfirmed)},
                {"as_of", Need::required, day_into(judging.as_of)},
                {"uncertainty", Need::required, word_into(judging.uncertainty, kUncertainties)},
                {"seed", Need::required, unless_null(count_into(judging.seed))},
                {"decision", Need::required, word_into(judging.decision, kDecisions)},
                {"guard_factor", Need::required, number_into(guard_factor, kZeroOrMore)},
                {"max_pixels", Need::required, count_into(options.max_pixels)},
                {"formats", Need::required, formats},
                {"paper", Need::required, word_into(options.paper, kPapers)},
                // Results of older programs were all for one reader, and had one report.
                {"detail", Need::optional, word_into(options.detail, kDetails)},
                {"language", Need::optional, text_into(options.language)},
                {"units", Need::optional, word_into(options.units, kUnits)},
                {"decimal", Need::optional, word_into(options.decimal, kDecimalMarks)}});
    if (!read) return read;
    const double expected =
        judging.decision == severity::Decision::guarded ? severity::kGuardFactor : 0;
    if (guard_factor != expected)
      return fail(below({.kind = ErrorKind::unsupported,
                         .what = "this program guards limits by another factor",
                         .found = value["guard_factor"].dump(),
                         .expected = std::to_string(expected)},
                        "guard_factor"));
    return {};
  };
}

ReadJson downtime_into(std::optional<severity::Assumed>& slot) {
  return [&slot](const Json& value) -> Result<void> {
    if (value.is_null()) return {};
    severity::Assumed& hours = slot.emplace();
    return read_object(value, {{"low", Need::required, number_into(hours.low, kZeroOrMore)},
                               {"likely", Need::required, number_into(hours.likely, kZeroOrMore)},
                               {"high", Need::required, number_into(hours.high, kZeroOrMore)}});
  };
}

ReadJson verify_into(std::optional<VerifyRun>& slot) {
  return [&slot](const Json& value) -> Result<void> {
    VerifyRun& run = slot.emplace();
    diagnosis::VerifyOptions& options = run.options;
    const auto before = [&run](const Json& its) {
      return read_object(
          its, {{"folder", Need::required, whole_text_into(run.survey_folder)},
                {"from_output", Need::required, whole_text_into(run.survey_from_output)}});
    };
    const auto number = [](std::optional<double>& at) {
      return unless_null([&at](const Json& its) { return number_into(at, kZeroOrMore)(its); });
    };
    auto read = read_object(
        value,
        {{"before", Need::required, before},
         {"load_ratio", Need::required, number_into(options.load_ratio, kZeroOrMore)},
         {"emissivity_change", Need::required, number_into(options.emissivity_change, kZeroOrMore)},
         {"price_per_kwh", Need::required, number(options.price_per_kwh)},
         {"hours_per_year", Need::required, number(options.hours_per_year)},
         {"repair_cost", Need::required, number(options.repair_cost)},
         {"period_years", Need::required, number_into(options.period_years, kZeroOrMore)},
         {"failure_probability", Need::required, number(options.failure_probability)},
         {"downtime_h", Need::required, downtime_into(options.downtime_h)},
         {"inputs", Need::required, files_into(run.inputs)}});
    if (!read) return read;
    const auto way = check_way(run.survey_from_output);
    return way ? way : Result<void>(fail(below(way.error(), "before.from_output")));
  };
}

ReadJson accept_into(std::optional<AcceptRun>& slot) {
  return [&slot](const Json& value) -> Result<void> {
    AcceptRun& run = slot.emplace();
    const auto stage = [&run](const Json& its) -> Result<void> {
      constexpr std::array<std::pair<std::string_view, acceptance::Stage>, 3> kStages{
          {{"bought", acceptance::Stage::bought},
           {"repaired", acceptance::Stage::repaired},
           {"installed", acceptance::Stage::installed}}};
      return word_into(run.request.stage, kStages)(its);
    };
    const auto costs = [&run](const Json& its) {
      std::vector<Member> members;
      for (std::size_t i = 0; i < acceptance::kChecks; ++i) {
        const auto check = static_cast<acceptance::Check>(i);
        members.push_back({id_of(check), Need::optional, [&run, check](const Json& cost) {
                             return number_into(run.request.costs[check], kZeroOrMore)(cost);
                           }});
      }
      return read_object(its, members);
    };
    const auto limits = [&run](const Json& its) {
      return read_object(its, {{"name", Need::required, whole_text_into(run.limits.name)},
                               {"text", Need::required, whole_text_into(run.limits.text)}});
    };
    return read_object(value, {{"motor", Need::required, whole_text_into(run.request.motor)},
                               {"stage", Need::required, stage},
                               {"costs", Need::required, costs},
                               {"limits", Need::required, limits}});
  };
}

Result<Manifest> manifest_from(std::string_view text) {
  const auto json = parse_json(text);
  if (!json) return fail(json.error());
  Manifest manifest;
  std::vector<Member> members = run_members(manifest);
  members.push_back({"findings_sha256", Need::required, sha256_into(manifest.findings_sha256)});
  members.push_back({"verify", Need::optional, verify_into(manifest.verify)});
  members.push_back({"accept", Need::optional, accept_into(manifest.accept)});
  members.push_back({"inputs", Need::required, files_into(manifest.inputs)});
  members.push_back({"outputs", Need::required, files_into(manifest.outputs)});
  if (const auto read = read_object(*json, members); !read) return fail(read.error());
  if (const auto checked = check_run(manifest); !checked) return fail(checked.error());
  return manifest;
}

/// What a manifest says twice must agree.
Result<void> check_agreement(const Manifest& manifest) {
  const auto find = [](const std::vector<FileRecord>& files, std::string_view path) {
    return std::find_if(files.begin(), files.end(),
                        [path](const FileRecord& file) { return file.path == path; });
  };
  const std::string_view json = manifest.json_file();
  const auto findings = find(manifest.outputs, json);
  if (findings != manifest.outputs.end() && findings->sha256 != manifest.findings_sha256)
    return fail({.kind = ErrorKind::conflict,
                 .what = "the manifest gives two hashes for " + std::string(json),
                 .found = findings->sha256,
                 .expected = manifest.findings_sha256});
  if (manifest.policy.origin != PolicyOrigin::survey_file) return {};
  // Two surveys are judged by the policy of the first.
  const auto& inputs = manifest.verify ? manifest.verify->inputs : manifest.inputs;
  const auto policy = find(inputs, manifest.policy.name);
  if (policy == inputs.end() ||
      policy->sha256 != record_of(policy->path, manifest.policy.text).sha256)
    return fail({.kind = ErrorKind::conflict,
                 .what = "the policy's text in the manifest is not the file that it names",
                 .found = shown(manifest.policy.name)});
  return {};
}

}  // namespace

std::vector<Member> run_members(Manifest& run) {
  const auto survey = [&run](const Json& value) {
    return read_object(value,
                       {{"folder", Need::required, whole_text_into(run.survey_folder)},
                        {"from_output", Need::required, whole_text_into(run.survey_from_output)},
                        {"site", Need::required, unless_null(text_into(run.site))}});
  };
  const auto policy = [&policy = run.policy](const Json& value) {
    return read_object(value, {{"name", Need::required, whole_text_into(policy.name)},
                               {"origin", Need::required, word_into(policy.origin, kPolicyOrigins)},
                               {"text", Need::required, whole_text_into(policy.text)}});
  };
  return {version_member(),
          {"tool", Need::required, tool_into(run)},
          {"survey", Need::required, survey},
          {"options", Need::required, options_into(run.options)},
          {"policy", Need::required, policy}};
}

Result<void> check_run(const Manifest& run) {
  const auto way = check_way(run.survey_from_output);
  return way ? way : Result<void>(fail(below(way.error(), "survey.from_output")));
}

Result<Manifest> read_manifest(const fs::path& output, std::string* text) {
  const fs::path path = output / kManifestFile;
  const auto content = TextFile::read(path, kMaxTableBytes);
  if (!content) {
    Error error = content.error().in_file(path.string());
    if (error.kind == ErrorKind::missing)
      error.mend =
          "name the folder that assess -o, verify -o or accept -o wrote; only a result with a manifest can be "
          "rechecked";
    return fail(std::move(error));
  }
  auto manifest = manifest_from(content->text());
  if (!manifest) return fail(manifest.error().in_file(path.string()));
  if (const auto agrees = check_agreement(*manifest); !agrees)
    return fail(agrees.error().in_file(path.string()));
  if (text != nullptr) *text = content->text();
  return manifest;
}

}  // namespace ohmglow::records
