// Whether two PDFs show the same: object by object with fonts and packing set aside; where that
// does not hold, text and images.

#include "offered/documents/documents.h"
#include "pdf_contents.h"

#include <algorithm>
#include <fmt/format.h>
#include <string>

namespace ohmglow::documents {
namespace {

std::string around(const std::string& text, std::size_t at) {
  constexpr std::size_t kBefore = 18;
  constexpr std::size_t kLong = 48;
  std::size_t from = at > kBefore ? at - kBefore : 0;
  std::size_t to = std::min(text.size(), from + kLong);
  const auto is_inside = [&text](std::size_t i) {
    return i < text.size() && (static_cast<unsigned char>(text[i]) & 0xc0) == 0x80;
  };
  while (is_inside(from)) ++from;
  while (is_inside(to)) ++to;
  return text.substr(from, to - from);
}

std::string text_difference(std::size_t page, const std::string& recorded,
                            const std::string& recomputed) {
  const auto ends =
      std::mismatch(recorded.begin(), recorded.end(), recomputed.begin(), recomputed.end());
  const auto at = static_cast<std::size_t>(ends.first - recorded.begin());
  return fmt::format("page {} reads \"{}\", recomputed \"{}\"", page + 1, around(recorded, at),
                     around(recomputed, at));
}

void replace_every(std::string& text, const std::string& was, const std::string& is) {
  for (std::size_t at = text.find(was); at != std::string::npos; at = text.find(was, at)) {
    text.replace(at, was.size(), is);
    at += is.size();
  }
}

SameShown compared(PdfContents& recorded, PdfContents& recomputed, const Versions& versions) {
  SameShown result;
  result.fonts_differ = recorded.fonts() != recomputed.fonts();
  const auto differs = [&result](std::string what) {
    result.difference = std::move(what);
    if (result.fonts_differ) result.difference = "made with other fonts; " + result.difference;
    return result;
  };
  if (recorded.pages() != recomputed.pages())
    return differs(
        fmt::format("it has {} pages, recomputed {}", recorded.pages(), recomputed.pages()));
  PdfEquality equality;
  bool is_same_text = true;
  for (std::size_t i = 0; i < recorded.pages(); ++i) {
    if (equality.same_page(recorded, recomputed, i)) continue;
    PageContent one = recorded.shown(i);
    const PageContent two = recomputed.shown(i);
    if (versions.recorded != versions.recomputed)
      replace_every(one.text, "ohmglow" + versions.recorded, "ohmglow" + versions.recomputed);
    if (one.text != two.text) return differs(text_difference(i, one.text, two.text));
    if (one.images != two.images) return differs(fmt::format("page {} shows other images", i + 1));
    if (!result.fonts_differ && one.drawn != two.drawn)
      return differs(fmt::format("page {} is drawn in another way", i + 1));
    is_same_text = is_same_text && !result.fonts_differ;
  }
  result.is_same = true;
  if (!is_same_text) result.difference = "text and images are the same, in other fonts";
  return result;
}

}  // namespace

Result<SameShown> compare_pdf(std::string_view recorded, std::string_view recomputed,
                              const Versions& versions) {
  try {
    PdfContents one(recorded);
    PdfContents two(recomputed);
    return compared(one, two, versions);
  } catch (const std::exception& error) {
    return fail({.kind = ErrorKind::damaged,
                 .what = "it cannot be read as a PDF",
                 .found = error.what(),
                 .mend = "assess the survey again"});
  }
}

}  // namespace ohmglow::documents
