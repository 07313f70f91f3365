#pragma once
/// The page's own files, from the binary.

#include "serve/answer.h"

namespace ohmglow::serve {

[[nodiscard]] bool has_page();

/// A file of the page, or index.html for every other path: the page finds its way from there.
[[nodiscard]] Answer page_file(const Request& request);

}  // namespace ohmglow::serve
