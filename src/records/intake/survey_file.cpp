#include "offered/files/folder.h"
#include "ohmglow/survey_folder.h"
#include "records/files/files.h"
#include "records/files/json_text.h"
#include "records/intake/band.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <set>

namespace ohmglow::records {
namespace {

/// A default as the cell that it stands for. JSON writes numbers with a full stop.
Result<std::string> cell_from(const ColumnInfo& column, const Json& value) {
  if (column.numeric ? !value.is_number() : !value.is_string()) {
    const std::string text = value.is_string() ? value.get<std::string>() : std::string();
    return fail(wrong_type(value, column.expected_for(trimmed(text), '.')));
  }
  return column.numeric ? value.dump() : std::string(trimmed(value.get_ref<const std::string&>()));
}

Result<void> read_default(const Column<ImageEntry>& column, const Json& value,
                          ImageDefaults& defaults) {
  if (column.name == "file") {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "a file cannot have a default",
                 .mend = "name the files in images.csv"});
  }
  const auto cell = cell_from(column, value);
  if (!cell) return fail(cell.error());
  if (cell->empty()) return {};
  if (!column.set(defaults.entry, *cell, '.')) {
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "the default cannot be used",
                 .found = shown(*cell),
                 .expected = column.expected_for(*cell, '.')});
  }
  for (const auto& other : image_columns()) {
    const bool is_other = other.name == column.other_unit || other.other_unit == column.name;
    if (!is_other || !defaults.given.contains(std::string(other.name))) continue;
    Error error = given_twice(column.name, other.name);
    error.mend = "remove one of the two";
    error.place.column.clear();  // read_object() names the member
    return fail(std::move(error));
  }
  defaults.given.insert(std::string(column.name));
  return {};
}

ReadJson defaults_into(ImageDefaults& defaults) {
  return [&defaults](const Json& value) -> Result<void> {
    std::vector<Member> members;
    for (const Column<ImageEntry>& column : image_columns()) {
      members.push_back({column.name, Need::optional, [&column, &defaults](const Json& content) {
                           return read_default(column, content, defaults);
                         }});
    }
    auto read = read_object(value, members);
    if (!read) return read;
    const auto error = contradiction(defaults.entry.parameters);
    return error ? Result<void>(fail(*error)) : read;
  };
}

ReadJson moment_into(std::optional<Moment>& slot) {
  return [&slot](const Json& value) -> Result<void> {
    const auto text = text_from(value);
    if (!text) return fail(text.error());
    slot = Moment::parse(*text);
    if (slot) return {};
    return fail({.kind = ErrorKind::invalid_value,
                 .what = "this is not a date",
                 .found = shown(*text),
                 .expected = "a date such as 2026-03-04, from 1900 to 2199"});
  };
}

ReadJson camera_into(Camera& camera) {
  return [&camera](const Json& value) -> Result<void> {
    return read_object(value, {{"make", Need::optional, text_into(camera.make)},
                               {"model", Need::optional, text_into(camera.model)},
                               {"serial", Need::optional, text_into(camera.serial)},
                               {"calibrated_on", Need::optional, moment_into(camera.calibrated_on)},
                               {"lens", Need::optional, text_into(camera.lens)}});
  };
}

ReadJson phase_names_into(PhaseNames& names) {
  return [&names](const Json& value) -> Result<void> {
    std::size_t next = 0;
    std::set<std::string> seen;
    return read_array(value, names.size(), names.size(), [&](const Json& item) -> Result<void> {
      auto name = text_from(item);
      if (!name) return fail(name.error());
      if (name->empty() || !seen.insert(lower_case(*name)).second) {
        return fail({.kind = ErrorKind::conflict,
                     .what = "this name does not tell the phase from the others",
                     .found = shown(*name),
                     .expected = "three different names such as [\"A\", \"B\", \"C\"]"});
      }
      names.at(next++) = std::move(*name);
      return {};
    });
  };
}

/// The survey's own policy is a built-in one or a file of the survey: a folder that was handed over
/// must not make the program read elsewhere.
Result<void> check_policy(const std::filesystem::path& folder, const std::string& policy) {
  const auto names = policy_names();
  if (policy.empty() || std::find(names.begin(), names.end(), policy) != names.end()) return {};
  const auto path = resolve_inside(folder, policy);
  if (!path) return fail(below(path.error(), "policy"));
  if (is_present(*path)) return {};
  return fail(below({.kind = ErrorKind::missing,
                     .what = "there is no such policy",
                     .found = shown(policy),
                     .expected = "one of " + listed(names) + ", or a file in the survey folder" +
                                 did_you_mean(near_names(policy, {names.begin(), names.end()}))},
                    "policy"));
}

Result<void> read_members(const std::filesystem::path& folder, std::string_view text,
                          Survey& survey, ImageDefaults& defaults) {
  const auto json = parse_json(text);
  if (!json) return fail(json.error());
  BandMembers band;
  std::vector<Member> members{
      {"site", Need::optional, text_into(survey.site)},
      {"surveyed_on", Need::optional, moment_into(survey.surveyed_on)},
      {"thermographer", Need::optional, text_into(survey.thermographer)},
      {"thermographer_level", Need::optional, text_into(survey.thermographer_level)},
      {"thermographer_certificate", Need::optional, text_into(survey.thermographer_certificate)},
      {"camera", Need::optional, camera_into(survey.camera)},
      {"defaults", Need::optional, defaults_into(defaults)},
      {"policy", Need::optional, text_into(survey.policy)},
      {"phase_names", Need::optional, phase_names_into(survey.phase_names)},
  };
  for (Member& member : band.members()) members.push_back(std::move(member));
  const auto read = read_object(*json, members);
  if (!read) return fail(read.error());
  auto of_camera = band_from(band, folder);
  if (!of_camera) return fail(of_camera.error());
  survey.band = std::move(*of_camera);
  if (const auto* response = std::get_if<SpectralResponse>(&survey.band)) {
    survey.files.push_back({response->file, response->bytes, response->sha256});
  }
  const std::string& photo = defaults.entry.photo;
  if (const auto path = resolve_inside(folder, photo); !photo.empty() && !path) {
    return fail(below(path.error(), "defaults.photo"));
  }
  return check_policy(folder, survey.policy);
}

}  // namespace

Result<ImageDefaults> read_survey_file(const std::filesystem::path& folder, Survey& survey) {
  ImageDefaults defaults;
  if (!is_present(folder / kSurveyFile)) return defaults;
  const auto content = take_in(folder / kSurveyFile, kSurveyFile, kMaxJsonBytes, survey.files);
  if (!content) return fail(content.error());
  if (const auto read = read_members(folder, content->text(), survey, defaults); !read) {
    return fail(read.error().in_file(kSurveyFile));
  }
  return defaults;
}

}  // namespace ohmglow::records
