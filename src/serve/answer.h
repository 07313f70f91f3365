#pragma once
/// What is asked and what is answered, without sockets.

#include "ohmglow/result.h"

#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ohmglow::serve {

struct Request {
  std::string method;
  std::string path;
  std::multimap<std::string, std::string> query;
  std::string if_match;       ///< as sent, with its quotes
  std::string if_none_match;  ///< likewise
  std::string accept_encoding;
  std::string body;

  /// A parameter of the query; empty where it is not there.
  [[nodiscard]] std::string parameter(const std::string& name) const;
};

namespace status {
inline constexpr int kOk = 200;
inline constexpr int kCreated = 201;
inline constexpr int kNotModified = 304;
inline constexpr int kBadRequest = 400;
inline constexpr int kUnauthorized = 401;
inline constexpr int kForbidden = 403;
inline constexpr int kNotFound = 404;
inline constexpr int kMethodNotAllowed = 405;
inline constexpr int kPreconditionFailed = 412;
inline constexpr int kTooLarge = 413;
inline constexpr int kWrongMediaType = 415;
inline constexpr int kMisdirected = 421;
inline constexpr int kUnprocessable = 422;
inline constexpr int kPreconditionRequired = 428;
inline constexpr int kServerError = 500;
inline constexpr int kUnavailable = 503;
}  // namespace status

/// A file that is sent from the disk; `kept_by` keeps it there.
struct FileBody {
  std::filesystem::path path;
  std::uint64_t bytes = 0;
  std::shared_ptr<const void> kept_by = {};
};

struct Answer {
  int status = status::kOk;
  std::string media_type = "application/json";
  std::vector<std::pair<std::string, std::string>> headers = {};
  std::shared_ptr<const std::string> body = {};
  std::shared_ptr<const FileBody> file = {};  ///< in place of a body
};

[[nodiscard]] Answer answer_json(std::string body, int status = status::kOk);
/// {"error":{…}}; the status follows from the kind of the error.
[[nodiscard]] Answer answer_error(const Error& error);
[[nodiscard]] Answer answer_error(int status, const Error& error);
/// The member `error` alone.
[[nodiscard]] std::string error_text(const Error& error);

/// With the ETag; 304 without a body where the caller has it already.
[[nodiscard]] Answer with_etag(const Request& request, std::string_view etag, Answer answer);
/// An entity tag without its quotes and weakness mark.
[[nodiscard]] std::string bare_etag(std::string_view written);

}  // namespace ohmglow::serve
