#pragma once
/// Reading an image file as the program does, for the tests of this folder.

#include "ohmglow/imaging.h"

#include <filesystem>
#include <fstream>

namespace ohmglow::imaging {

inline Result<StoredImage> read_file(const std::filesystem::path& path, int page = 1,
                                     const ReadLimits& limits = {}) {
  const auto bytes = read_bytes(path, limits.max_bytes);
  if (!bytes) return fail(bytes.error());
  return read_stored(*bytes, path.filename().string(), {.page = page, .limits = limits});
}

/// What the test needs to know when a file that should have been read was not.
template <class T>
std::string why(const Result<T>& result) {
  return result ? "read" : sentence_with_place(result.error());
}

inline const std::filesystem::path& test_output() {
  static const std::filesystem::path folder = [] {
    const std::filesystem::path path = OHMGLOW_TEST_OUTPUT;
    std::filesystem::create_directories(path);
    return path;
  }();
  return folder;
}

}  // namespace ohmglow::imaging
