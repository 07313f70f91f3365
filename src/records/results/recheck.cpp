#include "offered/files/folder.h"
#include "offered/results/manifest.h"
#include "records/files/files.h"
#include "records/files/json_values.h"

#include <algorithm>
#include <map>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

/// The hash of a recorded file as it is now; absent where there is none.
std::optional<std::string> hash_now(const fs::path& folder, const std::string& path) {
  const auto inside = resolve_inside(folder, path);
  std::error_code error;
  if (!inside || !fs::is_regular_file(*inside, error)) return std::nullopt;
  const auto digest = digest_of(*inside);
  return digest ? digest->sha256 : std::string();
}

FileCheck check_one(const FileRecord& recorded, const std::optional<std::string>& now) {
  FileCheck check;
  check.path = recorded.path;
  check.recorded_sha256 = recorded.sha256;
  check.sha256 = now.value_or("");
  if (!now) {
    check.state = FileState::missing;
  } else if (*now != recorded.sha256) {
    check.state = FileState::changed;
  }
  return check;
}

FileCheck added(const std::string& path, const std::string& sha256) {
  FileCheck check;
  check.path = path;
  check.state = FileState::added;
  check.sha256 = sha256;
  return check;
}

OrderedJson check_json(const FileCheck& check) {
  return {{"path", check.path},
          {"state", name_of(check.state)},
          {"recorded_sha256", text_or_null(check.recorded_sha256)},
          {"sha256", text_or_null(check.sha256)}};
}

OrderedJson output_json(const FileCheck& check) {
  OrderedJson json = check_json(check);
  json["recomputed"] = name_of(check.recomputed);
  json["note"] = text_or_null(check.note);
  return json;
}

OrderedJson values_json(const ValueCheck& values) {
  const auto one = [](const ValueDifference& d) -> OrderedJson {
    return {{"pointer", d.pointer},
            {"where", d.where},
            {"recorded", text_or_null(d.recorded)},
            {"recomputed", text_or_null(d.recomputed)}};
  };
  return {{"done", values.is_done},        {"not_done", text_or_null(values.not_done)},
          {"tolerance", values.tolerance}, {"compared", values.compared},
          {"different", values.different}, {"differences", list_of(values.differences, one)}};
}

std::size_t not_same(const std::vector<FileCheck>& checks) {
  return static_cast<std::size_t>(
      std::count_if(checks.begin(), checks.end(),
                    [](const FileCheck& check) { return check.state != FileState::same; }));
}

}  // namespace

std::string_view name_of(FileState state) {
  switch (state) {
    case FileState::same:
      return "same";
    case FileState::changed:
      return "changed";
    case FileState::missing:
      return "missing";
    case FileState::added:
      return "added";
  }
  return {};
}

std::string_view name_of(Recomputed recomputed) {
  switch (recomputed) {
    case Recomputed::no:
      return "no";
    case Recomputed::equal:
      return "equal";
    case Recomputed::different:
      return "different";
  }
  return {};
}

std::string_view name_of(Ending ending) {
  switch (ending) {
    case Ending::equal:
      return "equal";
    case Ending::other_version:
      return "other_version";
    case Ending::only_hashed:
      return "only_hashed";
    case Ending::different:
      return "different";
  }
  return {};
}

std::vector<FileCheck> check_inputs(const fs::path& survey, const std::vector<FileRecord>& recorded,
                                    const std::vector<FileRecord>& now) {
  std::map<std::string, FileCheck> checks;
  for (const FileRecord& file : now) {
    checks.emplace(file.path, added(file.path, file.sha256));
  }
  for (const FileRecord& file : recorded) {
    const auto current = checks.find(file.path);
    // A file that the tables no longer name may still be there.
    const auto hash = current == checks.end() ? hash_now(survey, file.path)
                                              : std::optional(current->second.sha256);
    checks[file.path] = check_one(file, hash);
  }
  std::vector<FileCheck> list;
  list.reserve(checks.size());
  for (auto& [path, check] : checks) list.push_back(std::move(check));
  return list;
}

std::vector<FileCheck> check_outputs(const fs::path& output,
                                     const std::vector<FileRecord>& recorded,
                                     const std::vector<std::string>& names) {
  std::vector<FileCheck> list;
  for (const FileRecord& file : recorded) {
    list.push_back(check_one(file, hash_now(output, file.path)));
  }
  for (const std::string& name : names) {
    const bool is_recorded =
        std::any_of(recorded.begin(), recorded.end(),
                    [&name](const FileRecord& file) { return file.path == name; });
    if (is_recorded) continue;
    if (const auto hash = hash_now(output, name)) list.push_back(added(name, *hash));
  }
  return list;
}

std::size_t Recheck::differences() const {
  const std::size_t unsound = signature.is_asked && !signature.is_good ? 1 : 0;
  const std::size_t not_compared = values.is_done ? 0 : 1;
  return unsound + not_same(inputs) + not_same(inputs_before) + not_same(outputs) + not_compared +
         values.different + remarks.size();
}

Ending Recheck::ending() const {
  if (differences() > 0) return Ending::different;
  const bool all_made_again =
      std::all_of(outputs.begin(), outputs.end(),
                  [](const FileCheck& check) { return check.recomputed == Recomputed::equal; });
  if (!all_made_again) return Ending::only_hashed;
  return manifest.tool_version == checked_by ? Ending::equal : Ending::other_version;
}

std::string recheck_json(const Recheck& recheck) {
  const OrderedJson json{{"version", 1},
                         {"equal", recheck.ending() == Ending::equal},
                         {"ending", name_of(recheck.ending())},
                         {"made_by", recheck.manifest.tool_version},
                         {"checked_by", recheck.checked_by},
                         {"same_program", recheck.same_program},
                         {"survey", recheck.survey_folder},
                         {"signature",
                          {{"there", recheck.signature.is_there},
                           {"asked", recheck.signature.is_asked},
                           {"good", recheck.signature.is_good},
                           {"message", text_or_null(recheck.signature.message)}}},
                         {"inputs", list_of(recheck.inputs, check_json)},
                         {"inputs_before", list_of(recheck.inputs_before, check_json)},
                         {"outputs", list_of(recheck.outputs, output_json)},
                         {"values", values_json(recheck.values)},
                         {"remarks", recheck.remarks}};
  return dumped_lines(json);
}

}  // namespace ohmglow::records
