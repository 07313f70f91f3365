#pragma once
/// The one way in which a command fills the folder of -o.

#include "ohmglow/manifest.h"
#include "ohmglow/result.h"

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::cli {

/// A file of the folder, by its name there.
struct OutputFile {
  std::string name;
  std::string content;
};

/// Errors: the folder cannot be made.
[[nodiscard]] Result<void> make_output_folder(const std::string& folder);

/// Makes the folder and writes the files one after the other, each as a whole or not at all, with a
/// line on stderr for each. An empty folder name is no folder: nothing is written.
[[nodiscard]] Result<void> write_output_folder(const std::string& folder,
                                               const std::vector<OutputFile>& files);

/// The files of a result, written piece by piece one after the other, each as a whole or not at
/// all, with a line on stderr for each of the folder itself.
class Outputs {
 public:
  /// An empty folder name: nothing is written, what would have been is only hashed.
  explicit Outputs(std::string folder) : folder_(std::move(folder)) {}

  using Content = std::function<Result<void>(const records::Sink&)>;
  /// `name` may lie in a subfolder, which is made. Errors: those of the content; a file that cannot
  /// be written.
  [[nodiscard]] Result<void> write(const std::string& name, const Content& content);
  [[nodiscard]] Result<void> write(const std::string& name, std::string_view content);

  /// Those that were written, by their names, in the order of writing.
  [[nodiscard]] const std::vector<records::FileRecord>& files() const { return files_; }

  /// Removes the files of a subfolder that an earlier run wrote and this one did not, and the
  /// subfolder with the last of them. `is_ours` tells them from a user's by their names. Errors: a
  /// file that cannot be removed.
  [[nodiscard]] Result<void> remove_earlier(std::string_view subfolder,
                                            bool (*is_ours)(std::string_view)) const;

 private:
  std::string folder_;
  std::vector<records::FileRecord> files_;
};

/// The files of a subfolder that are called so, by their names from the folder, sorted.
[[nodiscard]] std::vector<std::string> files_of(const std::string& folder,
                                                std::string_view subfolder,
                                                bool (*is_ours)(std::string_view));

}  // namespace ohmglow::cli
