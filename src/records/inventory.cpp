#include "ohmglow/manifest.h"
#include "ohmglow/records.h"
#include "records/files.h"
#include "records/json_text.h"
#include "records/tables.h"

#include <algorithm>
#include <cstdint>
#include <iterator>
#include <limits>
#include <optional>
#include <system_error>
#include <tuple>
#include <utility>

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

constexpr std::uint32_t kNoImage = std::numeric_limits<std::uint32_t>::max();

struct Input {
  std::string path;
  std::uint32_t image = kNoImage;  ///< its first place in the survey
};

/// Everything below the folder that a run takes in by its name, results of other runs apart.
/// Sorted.
std::vector<Input> list_folder(const fs::path& root) {
  std::vector<Input> inputs;
  walk(root,
       {.enters = [&root](const fs::path& folder) { return !is_result_folder(root / folder); },
        .visit =
            [&inputs](const fs::path& file) {
              if (is_taken_in(file)) inputs.push_back({file.generic_string()});
            },
        .complain = [](const fs::path&, const Error&) {}});
  std::sort(inputs.begin(), inputs.end(),
            [](const Input& a, const Input& b) { return a.path < b.path; });
  return inputs;
}

/// What a survey names beside what lies in its folder.
class NamedInputs {
 public:
  explicit NamedInputs(std::vector<Input> in_folder) : inputs_(std::move(in_folder)) {}

  void add(const std::string& path, std::uint32_t image = kNoImage) {
    if (path.empty()) return;
    const auto at =
        std::lower_bound(inputs_.begin(), inputs_.end(), path,
                         [](const Input& input, const std::string& p) { return input.path < p; });
    if (at == inputs_.end() || at->path != path) {
      others_.push_back({path, image});
    } else {
      at->image = std::min(at->image, image);
    }
  }

  /// All of them, sorted.
  std::vector<Input> take() {
    const auto comes_before = [](const Input& a, const Input& b) {
      return std::tie(a.path, a.image) < std::tie(b.path, b.image);
    };
    std::sort(others_.begin(), others_.end(), comes_before);
    const auto end = std::unique(others_.begin(), others_.end(),
                                 [](const Input& a, const Input& b) { return a.path == b.path; });
    const auto middle = static_cast<std::ptrdiff_t>(inputs_.size());
    inputs_.insert(inputs_.end(), std::make_move_iterator(others_.begin()),
                   std::make_move_iterator(end));
    std::inplace_merge(inputs_.begin(), inputs_.begin() + middle, inputs_.end(), comes_before);
    return std::move(inputs_);
  }

 private:
  std::vector<Input> inputs_;
  std::vector<Input> others_;
};

}  // namespace

Inputs inputs_of(const Survey& survey, const ImageRows& images, const PolicyText& policy,
                 KnownHash known) {
  const fs::path root = survey.folder;
  NamedInputs named(list_folder(root));
  for (std::size_t i = 0; i < images.size(); ++i) {
    const ImageEntry image = images[i];
    named.add(image.file, static_cast<std::uint32_t>(i));
    named.add(image.photo);
  }
  if (const auto* response = std::get_if<SpectralResponse>(&survey.band)) named.add(response->file);
  if (policy.origin == PolicyOrigin::survey_file) named.add(policy.name);
  std::vector<Input> inputs = named.take();
  const std::size_t count = inputs.size();
  return {count,
          [root, inputs = std::move(inputs),
           known = std::move(known)](std::size_t number) -> std::optional<FileRecord> {
            const auto& [relative, image] = inputs[number];
            const auto path = readable(root, relative);
            if (!path) return std::nullopt;
            FileRecord file{utf8(relative), 0, {}};  // as the manifest can hold it
            std::error_code error;
            if (std::string hash = image == kNoImage ? "" : known(image); !hash.empty()) {
              file.bytes = fs::file_size(*path, error);
              file.sha256 = std::move(hash);
            } else if (auto digest = digest_of(*path)) {
              file.bytes = digest->bytes;
              file.sha256 = std::move(digest->sha256);
            }
            return file;
          }};
}

}  // namespace ohmglow::records
