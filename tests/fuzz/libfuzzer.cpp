// The target that OHMGLOW_FUZZ_TARGET names, for libFuzzer.

#include "targets.h"

#include <cstdint>
#include <cstdio>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const auto* const target = [] {
    const char* const name = std::getenv("OHMGLOW_FUZZ_TARGET");
    const auto* const found = ohmglow::fuzz::target_named(name == nullptr ? "" : name);
    if (found == nullptr) {
      std::fputs("OHMGLOW_FUZZ_TARGET names none of the targets\n", stderr);
      std::exit(2);
    }
    return found;
  }();
  target->run({reinterpret_cast<const char*>(data), size});
  return 0;
}
