#pragma once
/// What the names in a folder without tables say of its images.

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// Files of a folder, hidden ones, marks and folders of results apart; relative, sorted.
struct BareFiles {
  std::vector<std::string> images;  ///< by their endings; whether they are is seen when one is read
  std::vector<std::string> photos;  ///< that cannot be images
  std::vector<std::string> unreadable;  ///< folders that cannot be listed
};
[[nodiscard]] BareFiles bare_files(const std::filesystem::path& folder);

/// A motor and a component as a name gives them; empty where it does not, for a person to fill.
struct GuessedNames {
  std::string motor;
  std::string component;
  friend bool operator==(const GuessedNames&, const GuessedNames&) = default;
};
/// "route/BE-101_terminal_box.tif" is the terminal box of BE-101, "BE-101/starter 2.tif" the
/// starter. A camera's own counting ("IMG_0031") names no motor.
[[nodiscard]] GuessedNames guess_names(std::string_view file);

/// A picture on the way to its pair.
struct TimedFile {
  std::string file;
  std::optional<double> taken_s;  ///< seconds, of one clock for all of them
};
/// For each image the place of its photograph: by the same name but for its ending and words such
/// as "photo", else the one that was taken within half a minute, each the nearest to the other.
[[nodiscard]] std::vector<std::optional<std::size_t>> pair_photos(
    const std::vector<TimedFile>& images, const std::vector<TimedFile>& photos);

/// Whether a folder has a table, be it usable or not, by its usual name.
[[nodiscard]] bool has_table(const std::filesystem::path& folder, std::string_view usual_name);

}  // namespace ohmglow::records
