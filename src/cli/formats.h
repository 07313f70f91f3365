#pragma once
/// What `assess --format` can write. A new format is a row in formats.cpp.

#include "cli/output_folder.h"
#include "offered/assessment/run.h"
#include "ohmglow/reader.h"
#include "ohmglow/result.h"

#include <cstddef>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::cli {

[[nodiscard]] std::vector<std::string> format_names();
/// Those that are written where nobody names one.
[[nodiscard]] std::vector<std::string> usual_formats();
/// Whether a format's bytes depend on the machine besides: a PDF embeds the fonts that are
/// installed.
[[nodiscard]] bool depends_on_fonts(std::string_view format);

/// Every file that a run may have written into the folder, be it there or not.
[[nodiscard]] std::vector<std::string> format_files(const std::string& folder);

/// Results, and how they are reported.
struct Reported {
  const records::KeptResults& results;
  std::string shown_folder;  ///< as findings.json names the survey
  records::PolicyText policy_text;
  records::RunOptions options;
  std::shared_ptr<const Reader> reader = std::make_shared<const Reader>();
  std::vector<std::size_t> ranks = {};   ///< sorted: of the list, these findings alone
  std::function<void()> has_drawn = {};  ///< called after each image that was opened
};
[[nodiscard]] Reported reported(const assessment::Run& run);

/// Writes the formats that are named, findings.json first. What findings.json is, be it written or
/// not. Errors: a policy that cannot be read; what cannot be written.
[[nodiscard]] Result<FileRecord> write_formats(const Reported& reported,
                                               const std::vector<std::string>& names,
                                               Outputs& outputs);

/// A format that is one file, and where people read it.
struct SingleFile {
  std::string_view format;
  std::string_view file;
  bool is_for_machines = false;
};
[[nodiscard]] std::vector<SingleFile> single_files();
/// The format that writes a file; empty for one that none does.
[[nodiscard]] std::string_view format_of(std::string_view file);

}  // namespace ohmglow::cli
