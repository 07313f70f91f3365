#include "cli/output_folder.h"

#include "cli/talk.h"
#include "offered/files/folder.h"
#include "offered/files/output_file.h"
#include "offered/intake/bare_folder.h"
#include "offered/results/journal.h"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <system_error>
#include <unordered_set>

namespace ohmglow::cli {
namespace fs = std::filesystem;

Result<void> make_output_folder(const std::string& folder) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (!error) return {};
  return fail({.kind = ErrorKind::system,
               .what = "the output folder cannot be made: " + error.message(),
               .mend = "choose another -o",
               .place = {.file = folder}});
}

Result<void> expect_room_for_results(const std::string& folder, const std::string& survey,
                                     const std::vector<std::string>& names) {
  const auto refused = [](const fs::path& path, std::string what, std::string mend) {
    return fail({.kind = ErrorKind::conflict,
                 .what = std::move(what),
                 .mend = std::move(mend),
                 .place = {.file = path.string()}});
  };
  std::error_code error;
  if (folder.empty() || !fs::exists(folder, error)) return {};
  if (fs::equivalent(folder, survey, error)) {
    return refused(folder, "the results would lie among the survey's own files",
                   "choose a folder for them alone with -o, such as " +
                       (fs::path(survey) / "report").string());
  }
  if (records::is_result_folder(folder) || fs::exists(fs::path(folder) / records::kJournalFile)) {
    return {};
  }
  for (const std::string& name : names) {
    const fs::path path = fs::path(folder) / name;
    if (fs::exists(fs::symlink_status(path, error))) {
      return refused(path, "the results would replace a file that no earlier result is known by",
                     "move it away, or choose another -o");
    }
  }
  const std::string inside = fs::relative(folder, survey, error).generic_string();
  const auto files = records::bare_files(folder);
  if (!error && !inside.starts_with("..") && !files.images.empty()) {
    return refused(folder,
                   "the folder holds the survey's files, such as " + files.images.front() +
                       ", which later runs would take for results",
                   "choose a folder for the results alone with -o");
  }
  return {};
}

namespace {

/// A subfolder of a result that somebody else filled may lead anywhere.
Result<void> expect_no_link(const fs::path& folder) {
  std::error_code error;
  if (!fs::is_symlink(fs::symlink_status(folder, error))) return {};
  return fail({.kind = ErrorKind::conflict,
               .what = "the folder is a link to another one, which is not written to",
               .mend = "remove the link, or choose another -o",
               .place = {.file = folder.string()}});
}

}  // namespace

Result<void> Outputs::write(const std::string& name, const Content& content) {
  if (folder_.empty()) {
    records::Hasher hasher;
    const auto hashed = content([&](std::string_view text) -> Result<void> {
      hasher.add(text);
      if (text_ != nullptr && (only_.empty() || only_ == name)) text_->append(text);
      return {};
    });
    if (hashed) files_.push_back(hasher.record(name));
    return hashed;
  }
  const fs::path path = fs::path(folder_) / name;
  if (auto made = make_output_folder(path.parent_path().string()); !made) return made;
  if (path.parent_path() != fs::path(folder_)) {
    if (auto own = expect_no_link(path.parent_path()); !own) return own;
  }
  auto file = records::OutputFile::create(path);
  if (!file) return fail(file.error());
  const auto sink = [this, &file](std::string_view text) -> Result<void> {
    if (is_given_up_ && is_given_up_()) {
      return fail({.kind = ErrorKind::conflict, .what = "the writing was given up"});
    }
    return file->write(text);
  };
  if (auto written = content(sink); !written) {
    return written;
  }
  auto record = file->seal();
  if (!record) return fail(record.error());
  record->path = name;
  files_.push_back(std::move(*record));
  sealed_.push_back(std::move(*file));
  return {};
}

Result<void> Outputs::place_files() {
  for (records::OutputFile& file : sealed_) {
    if (auto placed = file.put_in_place(); !placed) return placed;
  }
  sealed_.clear();
  return {};
}

Result<void> Outputs::put_in_place_quietly() {
  auto placed = place_files();
  return placed ? remove_earlier() : placed;
}

Result<void> Outputs::put_in_place() {
  if (auto placed = place_files(); !placed) return placed;
  for (const FileRecord& file : files_) {
    if (folder_.empty() || fs::path(file.path).has_parent_path()) continue;
    tell("wrote {}\n", (fs::path(folder_) / file.path).string());
  }
  return remove_earlier();
}

Result<void> Outputs::write(const std::string& name, std::string_view content) {
  return write(name, [content](const records::Sink& sink) { return sink(content); });
}

Result<void> Outputs::remove_earlier() const {
  std::unordered_set<std::string_view> written;
  for (const FileRecord& file : files_) written.insert(file.path);
  for (const auto& [subfolder, is_ours] : earlier_) {
    for (const std::string& name : files_of(folder_, subfolder, is_ours)) {
      if (written.contains(name)) continue;
      const fs::path path = fs::path(folder_) / name;
      std::error_code error;
      if (!fs::remove(path, error) && error) {
        return fail({.kind = ErrorKind::system,
                     .what = "a page of an earlier run cannot be removed: " + error.message(),
                     .mend = "remove it by hand, or choose another -o",
                     .place = {.file = path.string()}});
      }
    }
    const fs::path emptied = fs::path(folder_) / subfolder;
    std::error_code not_empty;
    if (fs::is_directory(fs::symlink_status(emptied, not_empty))) fs::remove(emptied, not_empty);
  }
  return {};
}

std::vector<std::string> files_of(const std::string& folder, std::string_view subfolder,
                                  bool (*is_ours)(std::string_view)) {
  std::vector<std::string> names;
  std::error_code error;
  fs::directory_iterator entries(fs::path(folder) / subfolder, error);
  for (; !error && entries != fs::directory_iterator{}; entries.increment(error)) {
    const std::string name = entries->path().filename().string();
    if (is_ours(name)) names.push_back(fmt::format("{}/{}", subfolder, name));
  }
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace ohmglow::cli
