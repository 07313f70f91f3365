#include "serve/gate.h"

#include "serve/secrets.h"
#include "serve/served_folder.h"

#include <algorithm>
#include <cctype>
#include <fmt/format.h>

namespace ohmglow::serve {
namespace {

constexpr std::string_view kCookie = "ohmglow";
constexpr std::string_view kBearer = "Bearer ";

std::string lower(std::string_view text) {
  std::string result(text);
  std::transform(result.begin(), result.end(), result.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return result;
}

/// The value of a cookie; empty where it is not there.
std::string_view cookie_in(std::string_view header, std::string_view name) {
  while (!header.empty()) {
    const auto end = std::min(header.find(';'), header.size());
    std::string_view pair = header.substr(0, end);
    header.remove_prefix(std::min(end + 1, header.size()));
    while (pair.starts_with(' ')) pair.remove_prefix(1);
    if (pair.starts_with(name) && pair.substr(name.size()).starts_with('=')) {
      return pair.substr(name.size() + 1);
    }
  }
  return {};
}

Answer refuse(int status, std::string what, std::string found, std::string expected,
              std::string mend) {
  return answer_error(status, {.kind = ErrorKind::invalid_value,
                               .what = std::move(what),
                               .found = std::move(found),
                               .expected = std::move(expected),
                               .mend = std::move(mend)});
}

/// Pieces of files are sent as they are; a form of another site can send neither of the two.
std::string_view media_type_for(std::string_view path) {
  return path == kIncomingPath ? "application/octet-stream" : "application/json";
}

bool is_of_type(std::string_view content_type, std::string_view expected) {
  return lower(content_type.substr(0, content_type.find(';'))) == expected;
}

}  // namespace

bool is_mutating(std::string_view method) {
  return method != "GET" && method != "HEAD";
}

Gate::Gate(Rules rules) : rules_(std::move(rules)), pass_(random_text()) {}

bool Gate::shows_token(const Caller& caller) const {
  return !rules_.token.empty() && same_secret(caller.token, rules_.token);
}

bool Gate::may_enter(const Caller& caller) const {
  if (rules_.token.empty() || shows_token(caller)) return true;
  std::string_view bearer = caller.authorization;
  if (bearer.starts_with(kBearer)) {
    bearer.remove_prefix(kBearer.size());
    if (same_secret(bearer, rules_.token)) return true;
  }
  return same_secret(cookie_in(caller.cookie, kCookie), pass_);
}

std::string Gate::cookie() const {
  return fmt::format("{}={}; Path=/; HttpOnly; SameSite=Strict{}", kCookie, pass_,
                     rules_.scheme == "https" ? "; Secure" : "");
}

std::optional<Answer> Gate::refusal(const Caller& caller) const {
  if (!rules_.hosts.contains(lower(caller.host))) {
    return refuse(status::kMisdirected, "this server is not known under that name", caller.host,
                  *rules_.hosts.begin(), "open the address that ohmglow serve has printed");
  }
  if (!caller.origin.empty()) {
    const std::string origin = lower(caller.origin);
    const std::string prefix = rules_.scheme + "://";
    if (!origin.starts_with(prefix) || !rules_.hosts.contains(origin.substr(prefix.size()))) {
      return refuse(status::kForbidden, "a page of another site may not ask this server",
                    caller.origin, prefix + *rules_.hosts.begin(), "");
    }
  }
  if (!may_enter(caller)) {
    return refuse(status::kUnauthorized, "this server asks for its token", "",
                  "the token of --token, once as ?token=… in the address or as Authorization: "
                  "Bearer …",
                  "open the address with ?token=… once");
  }
  if (!is_mutating(caller.method)) return std::nullopt;
  if (!same_secret(caller.csrf, rules_.csrf)) {
    return refuse(status::kForbidden, "a change must show that it comes from the page", "",
                  "a header X-Ohmglow-Token with \"csrf\" of /api/survey",
                  "load the page again: the server was started anew");
  }
  const std::string_view expected = media_type_for(caller.path);
  if ((caller.has_body || !caller.content_type.empty()) &&
      !is_of_type(caller.content_type, expected)) {
    return refuse(status::kWrongMediaType, "the body has another media type", caller.content_type,
                  std::string(expected), "");
  }
  return std::nullopt;
}

}  // namespace ohmglow::serve
