#pragma once
/// What the certificates of a repair and of a recheck share.

#include "flow.h"

#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::documents {

/// A name, a signature and a date, each over a line of its own.
void add_sign_line(Blocks& blocks, const Pages& pages, const std::string& who);

/// A heading over the full width.
void add_title(Pages& pages, const std::string& words, double size, const char* tag);
void add_lines(Pages& pages, const std::vector<std::string>& lines);

}  // namespace ohmglow::documents
