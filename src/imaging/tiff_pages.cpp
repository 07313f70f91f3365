#include "tiff_pages.h"

#include <unordered_set>

namespace ohmglow::imaging {
namespace {

constexpr std::size_t kMostPages = 1'000'000;

/// Sizes of the parts of a directory: TIFF 6.0, section 2, and the BigTIFF design.
struct Widths {
  std::size_t count;
  std::size_t entry;
  std::size_t offset;
};
constexpr Widths kClassic{2, 12, 4};
constexpr Widths kBig{8, 20, 8};

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

 private:
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

}  // namespace ohmglow::imaging
