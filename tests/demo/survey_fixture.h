#pragma once
/// Demo surveys that several tests look at, written once a run.

#include "../python.h"
#include "offered/demo/demo.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <sstream>
#include <string>
#include <string_view>

/// Writes a survey into a fresh folder below the tests' output.
inline std::filesystem::path fresh_survey(const std::string& name,
                                          const ohmglow::demo::Options& options = {}) {
  const std::filesystem::path folder = output_path(name);
  std::filesystem::remove_all(folder);
  const auto written = ohmglow::demo::write_survey(folder, options);
  if (!written) FAIL(ohmglow::sentence_with_place(written.error()));
  return folder;
}

inline const std::filesystem::path& full_survey() {
  static const std::filesystem::path folder = fresh_survey("full");
  return folder;
}

inline const std::filesystem::path& small_survey() {
  static const std::filesystem::path folder = fresh_survey("small", {.small = true});
  return folder;
}

inline std::string content_of(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

/// Runs a script of tests/demo/ on a folder; its exit code, with what it printed in `printed`.
inline int run_script(std::string_view script, const std::filesystem::path& folder,
                      std::string* printed = nullptr) {
  const std::string out = output_path(fmt::format("{}-{}.txt", script, folder.filename().string()));
  const std::string command = fmt::format("{} -B '{}/tests/demo/{}' '{}' > '{}'", OHMGLOW_PYTHON,
                                          OHMGLOW_SOURCE_DIR, script, folder.string(), out);
  const int code = std::system(command.c_str());
  if (printed) *printed = content_of(out);
  return code;
}
