#pragma once
/// What takes bytes from strangers, each as a function that must come back from whatever it is
/// given.

#include <cstdlib>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::fuzz {

struct Target {
  std::string_view name;
  void (*run)(std::string_view input);
};
[[nodiscard]] std::span<const Target> targets();
/// Null where none is called so.
[[nodiscard]] const Target* target_named(std::string_view name);

// In images.cpp
void tiff(std::string_view input);
void png(std::string_view input);
void npy(std::string_view input);
void fits(std::string_view input);
void matrix(std::string_view input);
/// Our decoding of TIFF strips (LZW, deflate, predictors) against libtiff's, both ways.
void codecs(std::string_view input);
// In tables.cpp
void table(std::string_view input);
void workbook(std::string_view input);
// In records.cpp
void marks(std::string_view input);
void policy(std::string_view input);
void limits(std::string_view input);
void manifest(std::string_view input);
void recheck(std::string_view input);
void journal(std::string_view input);
// In survey.cpp: files of a folder, each behind a line "=== its name".
void survey(std::string_view input);
void assess(std::string_view input);
void bench(std::string_view input);
// In signing.cpp
void signature(std::string_view input);
void secret_key(std::string_view input);
// In incoming.cpp
void incoming(std::string_view input);
// In requests.cpp
void request(std::string_view input);
void caller(std::string_view input);

/// Ends the program where what must hold does not, so that the input is kept.
inline void demand(bool holds) {
  if (!holds) std::abort();
}

/// An empty folder of this process, gone at its end.
[[nodiscard]] const std::filesystem::path& scratch();
void write_file(const std::filesystem::path& path, std::string_view content);

/// Pieces of a text, cut at a separator, which they do not hold.
[[nodiscard]] std::vector<std::string_view> cut_at(std::string_view text, std::string_view at);

}  // namespace ohmglow::fuzz
