#include "ohmglow/manifest.h"
#include "ohmglow/records.h"
#include "records/files.h"
#include "records/json_text.h"
#include "records/tables.h"

#include <algorithm>
#include <optional>
#include <system_error>
#include <unordered_map>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

bool is_mark_file(const fs::path& file) {
  return !file.empty() && *file.begin() == kMarksFolder && file.extension() == ".json";
}

bool is_taken_in(const fs::path& file) {
  if (is_mark_file(file)) return true;
  if (file.has_parent_path()) return is_image_name(file.filename());
  for (const std::string_view table :
       {kSurveyFile, kMotorsFile, kImagesFile, kReadingsFile, kCircuitFile}) {
    if (file == table) return true;
  }
  return is_image_name(file);
}

/// A file of the survey as a run reads it; absent for what is not there, is no file, or lies
/// outside by a link.
std::optional<fs::path> readable(const fs::path& root, const std::string& relative) {
  const auto path = resolve_inside(root, relative);
  std::error_code error;
  if (!path || !fs::is_regular_file(*path, error)) return std::nullopt;
  return *path;
}

/// Everything below the folder that a run takes in by its name, results of other runs apart.
void list_folder(const fs::path& root, std::vector<std::string>& paths) {
  walk(root,
       {.enters = [&root](const fs::path& folder) { return !is_result_folder(root / folder); },
        .visit =
            [&paths](const fs::path& file) {
              if (is_taken_in(file)) paths.push_back(file.generic_string());
            },
        .complain = [](const fs::path&, const Error&) {}});
}

}  // namespace

KnownHash hashes_of(const std::vector<diagnosis::ImageResult>& measured) {
  std::unordered_map<std::string, std::string> known;
  for (const auto& image : measured) {
    if (!image.sha256.empty()) known.emplace(image.file, image.sha256);
  }
  return [known = std::move(known)](const std::string& file) {
    const auto at = known.find(file);
    return at == known.end() ? std::string() : at->second;
  };
}

Inputs inputs_of(const Survey& survey, const PolicyText& policy, KnownHash known) {
  const fs::path root = survey.folder;
  std::vector<std::string> paths;
  list_folder(root, paths);
  for (const ImageEntry& image : survey.images) {
    paths.push_back(image.file);
    paths.push_back(image.photo);
  }
  if (const auto* response = std::get_if<SpectralResponse>(&survey.band))
    paths.push_back(response->file);
  if (policy.origin == PolicyOrigin::survey_file) paths.push_back(policy.name);
  std::sort(paths.begin(), paths.end());
  paths.erase(std::unique(paths.begin(), paths.end()), paths.end());
  std::erase_if(paths,
                [&root](const std::string& path) { return path.empty() || !readable(root, path); });
  paths.shrink_to_fit();
  return {std::move(paths), [root, known = std::move(known)](const std::string& relative) {
            FileRecord file{utf8(relative), 0, {}};  // as the manifest can hold it
            const auto path = readable(root, relative);
            if (!path) return file;
            std::error_code error;
            if (std::string hash = known(relative); !hash.empty()) {
              file.bytes = fs::file_size(*path, error);
              file.sha256 = std::move(hash);
            } else if (auto digest = digest_of(*path)) {
              file.bytes = digest->bytes;
              file.sha256 = std::move(digest->sha256);
            }
            return file;
          }};
}

std::vector<FileRecord> inventory(const Survey& survey, const PolicyText& policy,
                                  const KnownHash& known) {
  const Inputs inputs = inputs_of(survey, policy, known);
  std::vector<FileRecord> files;
  files.reserve(inputs.paths.size());
  for (const std::string& path : inputs.paths) files.push_back(inputs.record(path));
  return files;
}

}  // namespace ohmglow::records
