#include "readers.h"

#include <algorithm>
#include <array>
#include <exception>

namespace ohmglow::imaging {
namespace {

using namespace std::string_view_literals;

using Reader = Result<StoredImage> (*)(Bytes, const ReadOptions&);

/// The bytes that a file of a format begins with, and its reader.
struct Format {
  std::string_view magic;
  Reader read;
};
constexpr std::array<Format, 7> kFormats{{{"II*\0"sv, read_tiff},
                                          {"MM\0*"sv, read_tiff},
                                          {"II+\0"sv, read_tiff},
                                          {"MM\0+"sv, read_tiff},
                                          {"\x89PNG\r\n\x1A\n"sv, read_png},
                                          {"\x93NUMPY"sv, read_npy},
                                          {"SIMPLE  ="sv, read_fits}}};

/// Formats that are told apart only to say what to do instead.
struct Foreign {
  std::string_view magic;
  std::string_view name;
};
constexpr std::array<Foreign, 8> kForeign{{{"\xFF\xD8\xFF"sv, "JPEG"},
                                           {"GIF8"sv, "GIF"},
                                           {"BM"sv, "BMP"},
                                           {"RIFF"sv, "RIFF (WebP or video)"},
                                           {"%PDF"sv, "PDF"},
                                           {"PK\x03\x04"sv, "ZIP (or a spreadsheet workbook)"},
                                           {"\x1F\x8B"sv, "gzip"},
                                           {"\x89HDF\r\n\x1A\n"sv, "HDF5"}}};

constexpr std::array<std::string_view, 3> kTextEndings{".csv", ".tsv", ".txt"};
constexpr std::array<std::string_view, 9> kImageEndings{".tif", ".tiff", ".png", ".csv", ".tsv",
                                                        ".npy", ".fits", ".fit", ".fts"};
constexpr std::string_view kReadFormats =
    "TIFF, 16-bit PNG, NPY or FITS, or a text matrix named .csv, .tsv or .txt";

bool has_text_ending(std::string_view name) {
  return std::any_of(kTextEndings.begin(), kTextEndings.end(), [name](std::string_view ending) {
    return name.size() >= ending.size() &&
           std::equal(ending.begin(), ending.end(), name.end() - ending.size(),
                      [](char a, char b) { return a == (b >= 'A' && b <= 'Z' ? b + 32 : b); });
  });
}

Result<StoredImage> read_by_magic(Bytes file, std::string_view name, const ReadOptions& options) {
  const std::string_view text(reinterpret_cast<const char*>(file.data()), file.size());
  for (const Format& format : kFormats) {
    if (text.starts_with(format.magic)) return format.read(file, options);
  }
  // A text may begin with any letters, "BM" among them.
  const bool is_text = has_text_ending(name) && text.find('\0') == std::string_view::npos;
  for (const Foreign& foreign : kForeign) {
    if (text.starts_with(foreign.magic) && !(is_text && foreign.magic[0] >= 'A')) {
      return fail(unsupported("files of this format are not read", std::string(foreign.name),
                              std::string(kReadFormats)));
    }
  }
  if (has_text_ending(name)) return read_matrix(text, options);
  return fail({.kind = ErrorKind::not_this_format,
               .what = "this is no image format that is read here",
               .expected = std::string(kReadFormats),
               .mend = std::string(kExportAdvice)});
}

}  // namespace

bool StoredImage::is_integer() const {
  return pixels.depth() <= CV_32S;
}

std::span<const std::string_view> image_endings() {
  return kImageEndings;
}

Result<StoredImage> read_stored(Bytes file, std::string_view name, const ReadOptions& options) {
  if (file.empty()) return fail({.kind = ErrorKind::empty, .what = "the file is empty"});
  if (file.size() > options.limits.max_bytes) {
    return fail({.kind = ErrorKind::too_large,
                 .what = "the file is larger than this program may read",
                 .found = std::to_string(file.size()) + " bytes",
                 .expected = "at most " + std::to_string(options.limits.max_bytes) + " bytes"});
  }
  try {
    return read_by_magic(file, name, options);
  } catch (const std::exception&) {
    // Each reader answers for its format's faults; what remains is memory.
    return fail({.kind = ErrorKind::too_large,
                 .what = "the image does not fit into memory",
                 .mend = "lower the limits, or crop the image"});
  }
}

}  // namespace ohmglow::imaging
