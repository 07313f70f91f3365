#pragma once
/// Files of the survey under the names that people write for them.

#include "ohmglow/result.h"

#include <cstddef>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace ohmglow::records {

/// Looks through the folder when the first name is asked for: a survey whose names are right never
/// does.
class FoundFiles {
 public:
  /// `takes` says which names are looked at.
  FoundFiles(std::filesystem::path root,
             std::function<bool(const std::filesystem::path& name)> takes)
      : root_(std::move(root)), takes_(std::move(takes)) {}

  /// The file that a path means which is not there as it is written: in capital letters, with its
  /// accents composed otherwise, without its ending, in a subfolder. The nearest of these ways
  /// counts. Absent where there is none. Errors: conflict for several, invalid as a link that leads
  /// out.
  [[nodiscard]] Result<std::optional<std::string>> find(std::string_view written);

 private:
  using Places = std::unordered_map<std::string, std::vector<std::size_t>>;

  void look();
  [[nodiscard]] std::vector<std::size_t> below(const Places& places, const std::string& path) const;

  std::filesystem::path root_;
  std::function<bool(const std::filesystem::path& name)> takes_;
  bool has_looked_ = false;
  std::vector<std::string> files_;
  std::vector<std::string> folded_;  ///< the same, as folded_name() has them
  Places by_name_;                   ///< of folded names without folders
  Places by_stem_;                   ///< and without endings
};

}  // namespace ohmglow::records
