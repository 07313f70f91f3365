#include "tiff_pages.h"

#include <algorithm>
#include <array>
#include <unordered_set>

namespace ohmglow::imaging {
namespace {

constexpr std::size_t kMostPages = 1'000'000;

/// Sizes of the parts of a directory: TIFF 6.0, section 2, and the BigTIFF design.
struct Widths {
  std::size_t count;   ///< of the entries of a directory
  std::size_t entry;   ///< a whole entry: tag, type, count of values, values or their offset
  std::size_t offset;  ///< also of the count of values
};
constexpr Widths kClassic{2, 12, 4};
constexpr Widths kBig{8, 20, 8};

/// The types of whole numbers: TIFF 6.0, section 2, and the BigTIFF design.
struct Type {
  std::uint64_t number;
  std::size_t bytes;
};
constexpr std::array<Type, 3> kTypes{{{3, 2}, {4, 4}, {16, 8}}};

class Walker {
 public:
  explicit Walker(Bytes file)
      : file_(file),
        big_endian_(file[0] == std::byte{'M'}),
        widths_(number(2, 2).value_or(0) == 43 ? kBig : kClassic) {}

  [[nodiscard]] std::optional<std::uint64_t> first() const {
    return number(widths_.offset == 8 ? 8 : 4, widths_.offset);
  }

  /// The offset of the directory after this one, 0 after the last.
  [[nodiscard]] std::optional<std::uint64_t> next(std::uint64_t directory) const {
    const auto entries = number(directory, widths_.count);
    if (!entries || *entries == 0 || *entries > file_.size() / widths_.entry) return std::nullopt;
    return number(directory + widths_.count + *entries * widths_.entry, widths_.offset);
  }

  [[nodiscard]] std::optional<std::vector<std::uint64_t>> values(std::uint64_t directory,
                                                                 std::uint32_t tag,
                                                                 std::uint64_t most) const {
    const std::uint64_t entries = number(directory, widths_.count).value_or(0);
    for (std::uint64_t i = 0; i < entries; ++i) {
      const std::uint64_t at = directory + widths_.count + i * widths_.entry;
      const auto found = number(at, 2);
      if (!found) break;
      if (*found == tag) return values_of_entry(at, most);
    }
    return std::nullopt;
  }

 private:
  [[nodiscard]] std::optional<std::vector<std::uint64_t>> values_of_entry(
      std::uint64_t at, std::uint64_t most) const {
    const auto type = number(at + 2, 2);
    const auto count = number(at + 4, widths_.offset);
    const auto size = std::find_if(kTypes.begin(), kTypes.end(),
                                   [type](const Type& t) { return t.number == type; });
    if (size == kTypes.end() || !count || *count > file_.size() / size->bytes) return std::nullopt;
    std::optional<std::uint64_t> from = at + 4 + widths_.offset;
    if (*count * size->bytes > widths_.offset) from = number(*from, widths_.offset);
    std::vector<std::uint64_t> values;
    for (std::uint64_t i = 0; from && i < std::min(*count, most); ++i) {
      const auto value = number(*from + i * size->bytes, size->bytes);
      if (!value) return std::nullopt;
      values.push_back(*value);
    }
    return values;
  }

  [[nodiscard]] std::optional<std::uint64_t> number(std::uint64_t at, std::size_t bytes) const {
    if (at > file_.size() || file_.size() - at < bytes) return std::nullopt;
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < bytes; ++i) {
      const std::size_t from = big_endian_ ? i : bytes - 1 - i;
      value = value << 8 | std::to_integer<std::uint64_t>(file_[at + from]);
    }
    return value;
  }

  Bytes file_;
  bool big_endian_;
  Widths widths_;
};

}  // namespace

Result<std::vector<std::uint64_t>> tiff_pages(Bytes file) {
  if (file.size() < 8) return fail(damaged("the TIFF ends inside its header"));
  const Walker walker(file);
  std::vector<std::uint64_t> pages;
  std::unordered_set<std::uint64_t> seen;
  auto at = walker.first();
  while (at && *at != 0) {
    if (!seen.insert(*at).second) {
      return fail(damaged("the list of pages runs in a circle", pages.back()));
    }
    if (pages.size() == kMostPages) {
      return fail({.kind = ErrorKind::too_large,
                   .what = "the TIFF has too many pages",
                   .expected = "at most " + std::to_string(kMostPages)});
    }
    pages.push_back(*at);
    at = walker.next(*at);
  }
  if (!at) {
    return fail(damaged("the list of pages leaves the file: it is cut short or lies",
                        pages.empty() ? std::nullopt : std::optional(pages.back())));
  }
  if (pages.empty()) return fail(damaged("the TIFF has no page"));
  return pages;
}

std::optional<std::vector<std::uint64_t>> tiff_values(Bytes file, std::uint64_t directory,
                                                      std::uint32_t tag, std::uint64_t most) {
  return Walker(file).values(directory, tag, most);
}

}  // namespace ohmglow::imaging
