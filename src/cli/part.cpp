#include "cli/part.h"

#include "offered/sight/sight.h"
#include "ohmglow/version.h"

#include <array>
#include <dlfcn.h>
#include <filesystem>
#include <fmt/format.h>

namespace ohmglow::cli {
namespace {

namespace fs = std::filesystem;

/// Beside the program as it is built, and where it is installed.
std::array<fs::path, 2> places_of(std::string_view name) {
  std::error_code error;
  const fs::path program = fs::read_symlink("/proc/self/exe", error).parent_path();
  const std::string file = fmt::format("ohmglow-{}.so", name);
  return {program / file, program / OHMGLOW_PARTS_FROM_PROGRAM / file};
}

Error not_opened(std::string_view name, const std::string& why) {
  return Error{.kind = ErrorKind::system,
               .what = fmt::format("the program's part \"{}\" cannot be opened: {}", name, why),
               .mend = "install ohmglow anew, with its parts"};
}

}  // namespace

Result<const void*> open_part_file(std::string_view name) {
  std::string why;
  for (const fs::path& place : places_of(name)) {
    if (!fs::exists(place)) {
      if (why.empty()) why = fmt::format("{} is not there", place.string());
      continue;
    }
    // Never closed: what the part gave may outlive any scope.
    void* const library = dlopen(place.c_str(), RTLD_NOW | RTLD_LOCAL);
    if (library == nullptr) return fail(not_opened(name, dlerror()));
    const auto entry = reinterpret_cast<const void* (*)()>(dlsym(library, "ohmglow_part"));
    if (entry == nullptr) return fail(not_opened(name, "it is no part of ohmglow"));
    const void* const part = entry();
    const auto version = *static_cast<const std::string_view*>(part);
    if (version != kVersion) {
      return fail(not_opened(
          name, fmt::format("it is of version {}, the program of {}", version, kVersion)));
    }
    return part;
  }
  return fail(not_opened(name, why));
}

Result<marking::Sight> open_sight() {
  return open_part<sight::Part>("sight").map([](const sight::Part* part) { return part->sight; });
}

}  // namespace ohmglow::cli
