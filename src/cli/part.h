#pragma once
/// Parts of the program that are opened when a command first needs them (cmake/parts.cmake).

#include "offered/marking/sight.h"
#include "ohmglow/result.h"

#include <string_view>

namespace ohmglow::cli {

/// What the part's ohmglow_part() gives; opened once and kept. Errors: the part is not installed
/// beside the program, or belongs to another version.
[[nodiscard]] Result<const void*> open_part_file(std::string_view name);

/// The functions of a part: open_part<serve::Part>("serve"). The first member of every Part is
/// `std::string_view version`.
template <class Part>
[[nodiscard]] Result<const Part*> open_part(std::string_view name) {
  return open_part_file(name).map([](const void* part) { return static_cast<const Part*>(part); });
}

/// What sees lugs in pictures; the part is opened by the first call.
[[nodiscard]] Result<marking::Sight> open_sight();

}  // namespace ohmglow::cli
