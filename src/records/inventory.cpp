#include "ohmglow/manifest.h"
#include "ohmglow/records.h"
#include "records/files.h"
#include "records/json_text.h"
#include "records/tables.h"

#include <map>
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

class Collector {
 public:
  Collector(const Survey& survey, const KnownHash& known) : root_(survey.folder), known_(known) {}

  /// What is not there, is no file, or lies outside by a link, is not read by a run either.
  void add(const std::string& relative) {
    const std::string name = utf8(relative);  // as the manifest can hold it
    if (relative.empty() || files_.contains(name)) return;
    const auto path = resolve_inside(root_, relative);
    std::error_code error;
    if (!path || !fs::is_regular_file(*path, error)) return;
    FileRecord file{name, 0, {}};
    if (std::string hash = known_(relative); !hash.empty()) {
      file.bytes = fs::file_size(*path, error);
      file.sha256 = std::move(hash);
    } else if (auto digest = digest_of(*path)) {
      file.bytes = digest->bytes;
      file.sha256 = std::move(digest->sha256);
    }
    files_.emplace(name, std::move(file));
  }

  void add_folder() {
    walk(root_,
         {.enters = [this](const fs::path& folder) { return !is_result_folder(root_ / folder); },
          .visit =
              [this](const fs::path& file) {
                if (is_taken_in(file)) add(file.generic_string());
              },
          .complain = [](const fs::path&, const Error&) {}});
  }

  [[nodiscard]] std::vector<FileRecord> files() && {
    std::vector<FileRecord> list;
    list.reserve(files_.size());
    for (auto& [name, file] : files_) list.push_back(std::move(file));
    return list;
  }

 private:
  fs::path root_;
  const KnownHash& known_;
  std::map<std::string, FileRecord> files_;
};

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

std::vector<FileRecord> inventory(const Survey& survey, const PolicyText& policy,
                                  const KnownHash& known) {
  Collector collector(survey, known);
  collector.add_folder();
  for (const ImageEntry& image : survey.images) {
    collector.add(image.file);
    collector.add(image.photo);
  }
  if (const auto* response = std::get_if<SpectralResponse>(&survey.band))
    collector.add(response->file);
  if (policy.origin == PolicyOrigin::survey_file) collector.add(policy.name);
  return std::move(collector).files();
}

}  // namespace ohmglow::records
