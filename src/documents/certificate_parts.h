#pragma once
/// What the certificates of a repair and of a recheck share.

#include "flow.h"
#include "offered/documents/documents.h"

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::documents {

/// A document laid out twice, as every PDF of the program is. Errors: no font; out of memory.
[[nodiscard]] Result<std::string> printed_twice(Paper paper, const Running& running,
                                                const std::function<void(Pages&)>& compose);

/// A name, a signature and a date, each over a line of its own.
void add_sign_line(Blocks& blocks, const Pages& pages, const std::string& who);

/// A heading over the full width.
void add_title(Pages& pages, const std::string& words, double size, const char* tag);
void add_lines(Pages& pages, const std::vector<std::string>& lines);

}  // namespace ohmglow::documents
