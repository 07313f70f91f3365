#pragma once
/// Who may ask: hosts, origins, tokens. No sockets here.

#include "serve/answer.h"

#include <optional>
#include <set>
#include <string>
#include <string_view>

namespace ohmglow::serve {

/// What a request says of where it comes from.
struct Caller {
  std::string method;
  std::string path;
  std::string host;           ///< header Host
  std::string origin;         ///< header Origin; empty: none
  std::string authorization;  ///< header Authorization
  std::string cookie;         ///< header Cookie
  std::string token;          ///< `token` of the query
  std::string csrf;           ///< header X-Ohmglow-Token
  std::string content_type;
  bool has_body = false;
};

class Gate {
 public:
  struct Rules {
    std::string scheme = "http";
    std::set<std::string> hosts;  ///< under which this server is known, with its port
    std::string token;            ///< empty: none is asked for
    std::string csrf;
  };
  explicit Gate(Rules rules);

  /// Why the request is turned away: a host or origin of somewhere else (DNS rebinding, a page of
  /// another site), no token, no csrf token on what changes something, another media type.
  [[nodiscard]] std::optional<Answer> refusal(const Caller& caller) const;
  /// Whether the token was shown in the query: then the cookie is given and the address cleared.
  [[nodiscard]] bool shows_token(const Caller& caller) const;
  /// The header Set-Cookie that goes with it.
  [[nodiscard]] std::string cookie() const;

 private:
  [[nodiscard]] bool may_enter(const Caller& caller) const;

  Rules rules_;
  std::string pass_;  ///< the cookie's value: of this run alone, and not the token itself
};

/// Whether a method changes something.
[[nodiscard]] bool is_mutating(std::string_view method);

}  // namespace ohmglow::serve
