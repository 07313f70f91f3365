#pragma once
/// Functions of libraries that are opened on first use.

#include <dlfcn.h>

namespace ohmglow::tabular {

template <class Function>
bool find_function(void* library, const char* name, Function& function) {
  function = reinterpret_cast<Function>(dlsym(library, name));
  return function != nullptr;
}

}  // namespace ohmglow::tabular
