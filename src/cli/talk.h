#pragma once
/// What the program says, on stdout and stderr. Names come from strangers' folders: what a terminal
/// would obey in them, a line end too, is shown as a blank.

#include "offered/report/plain_text.h"

#include <concepts>
#include <fmt/format.h>
#include <string>
#include <string_view>
#include <utility>

namespace ohmglow::cli {

/// A text that was put together for the terminal already, as it is.
void print_whole(std::string_view text);
/// The same on stderr; what cannot be written there is nobody's to hear.
void tell_text(std::string_view text);

/// What fills a {}.
template <class Value>
auto filling(const Value& value) {
  if constexpr (std::convertible_to<const Value&, std::string_view>) {
    return report::printable(value);
  } else {
    return value;
  }
}
template <class Value>
using Filling = decltype(filling(std::declval<const Value&>()));

/// On stdout.
template <class... Values>
void print(fmt::format_string<Filling<Values>...> format, const Values&... values) {
  print_whole(fmt::format(format, filling(values)...));
}
/// On stderr.
template <class... Values>
void tell(fmt::format_string<Filling<Values>...> format, const Values&... values) {
  tell_text(fmt::format(format, filling(values)...));
}

/// Gives descriptors 0 to 2 a file where the caller left none, before another file gets its number
/// and what is said goes into it.
void occupy_standard_streams();

/// Whether all that was said on stdout has arrived; on stderr it says if not.
[[nodiscard]] bool was_heard();

}  // namespace ohmglow::cli
