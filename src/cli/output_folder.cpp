#include "cli/output_folder.h"

#include "ohmglow/records.h"

#include <filesystem>
#include <fmt/format.h>
#include <system_error>

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

Result<void> write_output_folder(const std::string& folder, const std::vector<OutputFile>& files) {
  if (folder.empty()) return {};
  if (auto made = make_output_folder(folder); !made) return made;
  for (const OutputFile& file : files) {
    const fs::path path = fs::path(folder) / file.name;
    if (auto written = records::write_atomically(path, file.content); !written) return written;
    fmt::print(stderr, "wrote {}\n", path.string());
  }
  return {};
}

}  // namespace ohmglow::cli
