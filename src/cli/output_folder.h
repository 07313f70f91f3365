#pragma once
/// The one way in which a command fills the folder of -o.

#include "ohmglow/result.h"

#include <string>
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

}  // namespace ohmglow::cli
