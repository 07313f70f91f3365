// Who may enter, without sockets; over sockets the same is tried in safety_test.py.

#include "serve/gate.h"

#include "offered/serve/serve.h"
#include "serve/addresses.h"

#include <catch2/catch.hpp>

using namespace ohmglow::serve;

namespace {

const std::string kToken(40, 't');
const std::string kCsrf(64, 'c');

Gate gate(const std::string& token) {
  return Gate({.scheme = "https",
               .hosts = host_headers({"bexley.example", "::1"}, 8443, "https"),
               .token = token,
               .csrf = kCsrf});
}

Caller caller() {
  Caller caller;
  caller.method = "GET";
  caller.path = "/api/survey";
  caller.host = "bexley.example:8443";
  return caller;
}

int status_of(const Gate& gate, const Caller& caller) {
  const auto refused = gate.refusal(caller);
  return refused ? refused->status : 200;
}

}  // namespace

TEST_CASE("a host is one that the server is known under, with its port") {
  CHECK(status_of(gate(""), caller()) == 200);
  Caller other = caller();
  for (const char* host : {"BEXLEY.example:8443", "[::1]:8443"}) {
    other.host = host;
    CHECK(status_of(gate(""), other) == 200);
  }
  for (const char* host :
       {"bexley.example", "bexley.example:80", "::1:8443", "bexley.example:8443.evil", ""}) {
    other.host = host;
    CHECK(status_of(gate(""), other) == 421);
  }
  CHECK(host_headers({"bexley.example"}, 443, "https").contains("bexley.example"));
  CHECK_FALSE(host_headers({"bexley.example"}, 443, "http").contains("bexley.example"));
}

TEST_CASE("a cookie opens only the server that gave it") {
  const Gate one = gate(kToken);
  const Gate another = gate(kToken);
  Caller with_cookie = caller();
  CHECK(status_of(one, with_cookie) == 401);
  with_cookie.cookie = "a=b; " + one.cookie().substr(0, one.cookie().find(';')) + "; c=d";
  CHECK(status_of(one, with_cookie) == 200);
  CHECK(status_of(another, with_cookie) == 401);
  with_cookie.cookie = "x" + with_cookie.cookie.substr(5);
  CHECK(status_of(one, with_cookie) == 401);
}

TEST_CASE("without TLS the cookie does not ask for it") {
  const Gate plain({.scheme = "http", .hosts = {"127.0.0.1:1"}, .token = kToken, .csrf = kCsrf});
  CHECK(plain.cookie().find("Secure") == std::string::npos);
  CHECK(gate(kToken).cookie().find("; Secure") != std::string::npos);
}

TEST_CASE("only loopback addresses are this computer alone") {
  for (const char* address : {"127.0.0.1", "127.9.9.9", "::1", "localhost"})
    CHECK(is_loopback(address));
  for (const char* address :
       {"0.0.0.0", "::", "10.0.0.1", "128.0.0.1", "localhost.example", "", "127.1"}) {
    CHECK_FALSE(is_loopback(address));
  }
}
