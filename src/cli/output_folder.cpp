#include "cli/output_folder.h"

#include "offered/files/output_file.h"

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

Result<void> Outputs::write(const std::string& name, const Content& content) {
  if (folder_.empty()) {
    records::Hasher hasher;
    const auto hashed = content([&](std::string_view text) -> Result<void> {
      hasher.add(text);
      if (text_ != nullptr) text_->append(text);
      return {};
    });
    if (hashed) files_.push_back(hasher.record(name));
    return hashed;
  }
  const fs::path path = fs::path(folder_) / name;
  if (auto made = make_output_folder(path.parent_path().string()); !made) return made;
  auto file = records::OutputFile::create(path);
  if (!file) return fail(file.error());
  if (auto written = content([&file](std::string_view text) { return file->write(text); });
      !written) {
    return written;
  }
  auto record = file->finish();
  if (!record) return fail(record.error());
  record->path = name;
  files_.push_back(std::move(*record));
  if (!fs::path(name).has_parent_path()) fmt::print(stderr, "wrote {}\n", path.string());
  return {};
}

Result<void> Outputs::write(const std::string& name, std::string_view content) {
  return write(name, [content](const records::Sink& sink) { return sink(content); });
}

Result<void> Outputs::remove_earlier(std::string_view subfolder,
                                     bool (*is_ours)(std::string_view)) const {
  if (folder_.empty()) return {};
  std::unordered_set<std::string_view> written;
  for (const FileRecord& file : files_) written.insert(file.path);
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
