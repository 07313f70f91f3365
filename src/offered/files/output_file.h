#pragma once
/// Texts written piece by piece.

#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <filesystem>
#include <functional>
#include <memory>
#include <string_view>

namespace ohmglow::records {

/// Where a text goes. Errors end the writing.
using Sink = std::function<Result<void>(std::string_view)>;

/// Under a temporary name beside its target until it is put in place, and gone where it never is.
class OutputFile {
 public:
  /// Errors: the file cannot be created.
  [[nodiscard]] static Result<OutputFile> create(const std::filesystem::path& path);
  OutputFile(OutputFile&&) noexcept;
  OutputFile& operator=(OutputFile&&) noexcept;
  ~OutputFile();

  /// Errors: the file cannot be written.
  [[nodiscard]] Result<void> write(std::string_view text);
  /// Ends the writing; the bytes are durable and their descriptor is given back. What was written,
  /// under the file's own name. Errors: the file cannot be written.
  [[nodiscard]] Result<FileRecord> seal();
  /// Of a sealed file: durably. Errors: it cannot be put in place.
  [[nodiscard]] Result<void> put_in_place();

 private:
  class Inside;
  explicit OutputFile(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

/// Counts and hashes what is written into it, and keeps nothing.
class Hasher {
 public:
  Hasher();
  ~Hasher();
  void add(std::string_view text);
  /// Once, at the end.
  [[nodiscard]] FileRecord record(std::string_view name);

 private:
  class Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace ohmglow::records
