#include "records/intake/found_files.h"

#include "offered/files/folder.h"
#include "offered/vocabulary/utf8.h"
#include "records/files/files.h"
#include "records/files/shown.h"
#include "records/intake/tables.h"

#include <algorithm>

namespace ohmglow::records {
namespace fs = std::filesystem;

namespace {

std::string_view name_of_path(std::string_view path) {
  return path.substr(path.rfind('/') + 1);  // npos + 1 is 0
}
std::string_view without_name_ending(std::string_view path) {
  const auto dot = path.rfind('.');
  const auto slash = path.rfind('/');
  const std::size_t name = slash == std::string_view::npos ? 0 : slash + 1;
  return dot == std::string_view::npos || dot <= name ? path : path.substr(0, dot);
}

Error several_match(std::string_view written, const std::vector<std::string>& files) {
  return {.kind = ErrorKind::conflict,
          .what = "no file has this name, and more than one may be meant",
          .found = shown(written),
          .expected = "one of " + listed(files, 5),
          .mend = "write the one that is meant; the row is left out until then"};
}

}  // namespace

void FoundFiles::look() {
  has_looked_ = true;
  walk(root_, {.enters =
                   [this](const fs::path& folder) {
                     return folder != kMarksFolder && !is_result_folder(root_ / folder);
                   },
               .visit =
                   [this](const fs::path& file) {
                     if (takes_(file.filename())) files_.push_back(file.generic_string());
                   },
               .complain = [](const fs::path&, const Error&) {}});
  std::sort(files_.begin(), files_.end());
  for (std::size_t i = 0; i < files_.size(); ++i) {
    folded_.push_back(folded_name(files_[i]));
    by_name_[std::string(name_of_path(folded_[i]))].push_back(i);
    by_stem_[std::string(name_of_path(without_name_ending(folded_[i])))].push_back(i);
  }
}

/// Files at that path, or else those at that path in any subfolder; both folded.
std::vector<std::size_t> FoundFiles::below(const Places& places, const std::string& path) const {
  const auto at = places.find(std::string(name_of_path(path)));
  if (at == places.end()) return {};
  const bool by_stem = &places == &by_stem_;
  std::vector<std::size_t> here;
  std::vector<std::size_t> in_subfolders;
  for (const std::size_t i : at->second) {
    const std::string_view whole = by_stem ? without_name_ending(folded_[i]) : folded_[i];
    if (whole == path) here.push_back(i);
    if (whole.ends_with('/' + path)) in_subfolders.push_back(i);
  }
  return here.empty() ? in_subfolders : here;
}

Result<std::optional<std::string>> FoundFiles::find(std::string_view written) {
  if (!has_looked_) look();
  const std::string path = folded_name(normal_path(written));
  std::vector<std::size_t> matches = below(by_name_, path);
  if (matches.empty()) matches = below(by_stem_, path);
  if (matches.empty()) return std::optional<std::string>();
  std::vector<std::string> names;
  for (const std::size_t i : matches) names.push_back(files_[i]);
  if (names.size() > 1) return fail(several_match(written, names));
  if (const auto inside = resolve_inside(root_, names.front()); !inside) {
    return fail(inside.error());
  }
  return std::optional(std::move(names.front()));
}

}  // namespace ohmglow::records
