#pragma once
/// The one way in which ohmglow says that something could not be done.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <utility>

namespace ohmglow {

/// What kind of trouble, from a short list, so that callers can decide without reading prose.
enum class ErrorKind {
  missing,          ///< a file, row or cell that must be there is not
  empty,            ///< it is there, with nothing in it
  not_this_format,  ///< readable, but not what it claims or needs to be
  damaged,          ///< begins well, then breaks: truncated, looping or lying files
  unsupported,      ///< sound, but outside what this program reads
  too_large,        ///< over a named, raisable limit
  undeclared,       ///< stored numbers without a declared scale and unit: never guessed
  invalid_value,    ///< a cell, option or member with a value that cannot be
  outside_survey,   ///< a path that leaves the survey folder
  conflict,         ///< two statements that cannot both hold (a duplicate row, say)
  not_measurable,   ///< a mark or lug without a trustworthy number
  system,           ///< the operating system refused (permissions, full disk)
};

/// Where the trouble sits. Rows count from 1 and the header row is row 1, as a spreadsheet shows
/// them; byte offsets count from 0.
struct Place {
  std::string file = {};
  std::optional<long> row = {};
  std::string column = {};
  std::optional<std::uint64_t> byte_offset = {};
};

/// One complaint. `what` is a clause without its place ("the emissivity is out of range");
/// `found`, `expected` and `mend` are optional parts that sentence() joins.
struct Error {
  ErrorKind kind = ErrorKind::invalid_value;
  std::string what = {};
  std::string found = {};
  std::string expected = {};
  std::string mend = {};
  Place place = {};

  /// The same error, now knowing its file (kept if it is known already).
  [[nodiscard]] Error in_file(std::string_view file) const;
};

/// "what: found "…", expected …; mend." without the place.
[[nodiscard]] std::string sentence(const Error& error);

/// "file, row 7, column emissivity: " before the sentence; parts that are unknown are left out.
[[nodiscard]] std::string sentence_with_place(const Error& error);

/// A value or the error that stands in its place. Never ignored: the class is nodiscard.
template <class T>
class [[nodiscard]] Result : public tl::expected<T, Error> {
 public:
  using tl::expected<T, Error>::expected;
  Result(tl::expected<T, Error> other) : tl::expected<T, Error>(std::move(other)) {}
};

[[nodiscard]] inline tl::unexpected<Error> fail(Error error) {
  return tl::make_unexpected(std::move(error));
}

}  // namespace ohmglow
