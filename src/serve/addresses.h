#pragma once
/// Names under which a server is known.

#include "ohmglow/result.h"

#include <filesystem>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::serve {

/// An address as a URL writes it: IPv6 between brackets.
[[nodiscard]] std::string url_host(std::string_view address);
/// Whether it stands for every address of the machine.
[[nodiscard]] bool is_any(std::string_view address);

/// The names and addresses that a certificate (PEM) is made out to. Errors: not_this_format.
[[nodiscard]] Result<std::vector<std::string>> certificate_names(
    const std::filesystem::path& certificate);

/// What a Host header may say: each name with the port, and without it where it is the scheme's
/// own.
[[nodiscard]] std::set<std::string> host_headers(const std::vector<std::string>& names, int port,
                                                 std::string_view scheme);

}  // namespace ohmglow::serve
