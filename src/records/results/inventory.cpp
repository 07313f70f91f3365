#include "offered/files/folder.h"
#include "offered/intake/policy_text.h"
#include "offered/results/kept_results.h"
#include "offered/results/manifest.h"
#include "records/files/files.h"
#include "records/files/json_text.h"
#include "records/intake/table_file.h"
#include "records/intake/tables.h"

#include <algorithm>
#include <cstdint>
#include <iterator>
#include <limits>
#include <map>
#include <memory>
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

bool is_table(const fs::path& file) {
  return file.native() == kSurveyFile || (!file.has_parent_path() && is_table_name(file.native()));
}

bool is_taken_in(const fs::path& file) {
  return is_mark_file(file) || is_table(file) || is_image_name(file.filename());
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
  std::uint32_t image = kNoImage;  ///< whose file it is, or whose marks; its first place
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

/// What a survey names beside what lies in its folder, and whose it is.
class NamedInputs {
 public:
  explicit NamedInputs(std::vector<Input> in_folder) : inputs_(std::move(in_folder)) {}

  void add(const std::string& path, std::uint32_t image = kNoImage) {
    if (path.empty()) return;
    if (const auto at = find(path); at == inputs_.end()) {
      others_.push_back({path, image});
    } else {
      at->image = std::min(at->image, image);
    }
  }

  void add_if_listed(const std::string& path, std::uint32_t image) {
    if (const auto at = find(path); at != inputs_.end()) at->image = std::min(at->image, image);
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
  [[nodiscard]] std::vector<Input>::iterator find(const std::string& path) {
    const auto at =
        std::lower_bound(inputs_.begin(), inputs_.end(), path,
                         [](const Input& input, const std::string& p) { return input.path < p; });
    return at == inputs_.end() || at->path != path ? inputs_.end() : at;
  }

  std::vector<Input> inputs_;
  std::vector<Input> others_;
};

/// What a run that is over knows of the files that it took in.
class TakenIn {
 public:
  TakenIn(const KeptResults& results, const PolicyText& policy) : results_(results) {
    for (const FileRecord& file : results.survey().files) files_.emplace(file.path, file);
    if (policy.origin == PolicyOrigin::survey_file) {
      files_.insert_or_assign(policy.name, records::record_of(policy.name, policy.text));
    }
  }

  /// Whether the run looked for the file and found none.
  [[nodiscard]] bool was_absent(const Input& input) const {
    if (is_mark_file(input.path)) {
      return input.image != kNoImage && !results_.had_marks(input.image);
    }
    return is_table(input.path) && !files_.contains(input.path);
  }
  /// As it was read; absent where it was not.
  [[nodiscard]] std::optional<FileRecord> record_of(const Input& input) const {
    const auto known = files_.find(input.path);
    if (known != files_.end() && !known->second.sha256.empty()) return known->second;
    if (input.image == kNoImage) return std::nullopt;
    return is_mark_file(input.path) ? results_.marks_file(input.image)
                                    : results_.image_file(input.image);
  }

 private:
  const KeptResults& results_;
  std::map<std::string, FileRecord, std::less<>> files_;
};

std::optional<FileRecord> record_now(const fs::path& root, const std::string& relative) {
  const auto path = readable(root, relative);
  if (!path) return std::nullopt;
  FileRecord file{relative, 0, {}};
  if (auto digest = digest_of(*path)) {
    file.bytes = digest->bytes;
    file.sha256 = std::move(digest->sha256);
  }
  return file;
}

std::optional<FileRecord> as_json_holds_it(std::optional<FileRecord> file) {
  if (file) file->path = utf8(file->path);
  return file;
}

}  // namespace

Inputs inputs_of(const KeptResults& results, const PolicyText& policy) {
  const Survey& survey = results.survey();
  const diagnosis::CutSurvey& cut = results.cut();
  const fs::path root = survey.folder;
  NamedInputs named(list_folder(root));
  for (std::size_t i = 0; i < cut.files.size(); ++i) {
    const auto image = static_cast<std::uint32_t>(i);
    named.add(cut.files[i], image);
    named.add_if_listed(marks_name(cut.files[i]), image);
    if (results.had_marks(i)) named.add(marks_name(cut.files[i]), image);
  }
  for (const std::string& photo : cut.photos) named.add(photo);
  for (const FileRecord& file : survey.files) named.add(file.path);
  if (policy.origin == PolicyOrigin::survey_file) named.add(policy.name);
  const auto inputs = std::make_shared<const std::vector<Input>>(named.take());
  const auto taken_in = std::make_shared<const TakenIn>(results, policy);
  return {inputs->size(),
          [root, inputs, taken_in](std::size_t number) -> std::optional<FileRecord> {
            const Input& input = (*inputs)[number];
            if (taken_in->was_absent(input)) return std::nullopt;
            auto known = taken_in->record_of(input);
            return as_json_holds_it(known ? std::move(known) : record_now(root, input.path));
          }};
}

Inputs inputs_of(const fs::path& folder, const PolicyText& policy) {
  NamedInputs named(list_folder(folder));
  if (policy.origin == PolicyOrigin::survey_file) named.add(policy.name);
  const auto inputs = std::make_shared<const std::vector<Input>>(named.take());
  return {inputs->size(), [folder, inputs](std::size_t number) {
            return as_json_holds_it(record_now(folder, (*inputs)[number].path));
          }};
}

}  // namespace ohmglow::records
