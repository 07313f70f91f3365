#pragma once
/// What reports and certificates share.

#include "flow.h"

#include <chrono>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::documents {

/// A name, a signature and a date, each over a line of its own.
void add_sign_line(Blocks& blocks, const Pages& pages, const std::string& who);

/// Title, program and day of making: no clock, but the day that it was judged as of.
void describe_document(Pages& pages, const std::string& title, std::chrono::sys_days as_of);
void describe_document(Pages& pages, const std::string& title, std::string_view day);

/// The cautions of electricity, for the foot of every page; all of them stand on one page.
[[nodiscard]] std::string running_caution(const std::vector<std::string>& cautions);

/// A heading over the full width.
void add_title(Pages& pages, const std::string& words, double size, const char* tag);
void add_lines(Pages& pages, const std::vector<std::string>& lines);

}  // namespace ohmglow::documents
