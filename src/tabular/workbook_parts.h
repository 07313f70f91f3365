#pragma once
/// The parts of a workbook: files of a ZIP archive, most of them XML.

#include "ohmglow/result.h"

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

namespace ohmglow::tabular {

/// A ZIP archive in memory, read by libzip.
class Archive {
 public:
  [[nodiscard]] static Result<Archive> open(std::string_view bytes);
  Archive(Archive&&) noexcept;
  Archive& operator=(Archive&&) noexcept;
  ~Archive();

  [[nodiscard]] bool has(const std::string& name) const;
  /// A file's content, inflated and held against its checksum.
  [[nodiscard]] Result<std::string> read(const std::string& name, std::uint64_t most_bytes) const;

 private:
  class Inside;
  explicit Archive(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

/// An element's attributes by local name.
class Attributes {
 public:
  explicit Attributes(const char** pairs) : pairs_(pairs) {}
  /// Empty where there is none of that name.
  [[nodiscard]] std::string_view operator[](std::string_view name) const;

 private:
  const char** pairs_;
};

/// What is done along an XML text; names are local ones. An error that stands in `trouble` ends it.
struct XmlEvents {
  std::function<void(std::string_view name, const Attributes& attributes)> begin;
  std::function<void(std::string_view name)> end;
  std::function<void(std::string_view text)> text = [](std::string_view) {};
  const Result<void>* trouble = nullptr;
};
/// Reads a whole XML text with Expat. Errors: `damaged` for what is not well formed or declares a
/// document type, which no workbook does; whatever `trouble` says.
[[nodiscard]] Result<void> read_xml(std::string_view xml, std::string_view part,
                                    const XmlEvents& events);

}  // namespace ohmglow::tabular
