#pragma once
// What a PDF holds, for comparing two. Its source alone knows the PDF library.

#include <cstddef>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::documents {

struct PageContent {
  std::string text;                 // without blanks, which depend on how lines are broken
  std::vector<std::string> images;  // their pixels as they are stored
  std::string drawn;                // every operation but those that name fonts and set letters
};

class PdfContents {
 public:
  // Throws std::exception where the bytes are no PDF; they must outlive it.
  explicit PdfContents(std::string_view bytes);
  ~PdfContents();
  PdfContents(const PdfContents&) = delete;
  PdfContents& operator=(const PdfContents&) = delete;

  [[nodiscard]] std::size_t pages() const;
  [[nodiscard]] PageContent shown(std::size_t page);
  // Names without the six letters that tell subsets apart.
  [[nodiscard]] std::set<std::string> fonts();

 private:
  friend class PdfEquality;
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

// Whether pages of two documents hold the same objects, fonts and the way in which streams are
// packed apart. Objects that pages share are looked at once.
class PdfEquality {
 public:
  PdfEquality();
  ~PdfEquality();
  PdfEquality(const PdfEquality&) = delete;
  PdfEquality& operator=(const PdfEquality&) = delete;

  [[nodiscard]] bool same_page(const PdfContents& a, const PdfContents& b, std::size_t page);

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace ohmglow::documents
