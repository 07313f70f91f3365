#include "serve/answer.h"

#include "serve/json_text.h"

#include <fmt/format.h>

namespace ohmglow::serve {
namespace {

int status_for(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::missing:
      return status::kNotFound;
    case ErrorKind::too_large:
      return status::kTooLarge;
    case ErrorKind::outside_survey:
      return status::kForbidden;
    case ErrorKind::conflict:
      return status::kPreconditionFailed;
    case ErrorKind::system:
      return status::kServerError;
    case ErrorKind::empty:
    case ErrorKind::not_this_format:
    case ErrorKind::damaged:
    case ErrorKind::unsupported:
    case ErrorKind::undeclared:
    case ErrorKind::invalid_value:
    case ErrorKind::not_measurable:
      break;
  }
  return status::kUnprocessable;
}

}  // namespace

std::string Request::parameter(const std::string& name) const {
  const auto at = query.find(name);
  return at == query.end() ? std::string() : at->second;
}

Answer answer_json(std::string body, int status) {
  return {.status = status, .body = std::make_shared<const std::string>(std::move(body))};
}

std::string error_text(const Error& error) {
  return json_text({{"message", error.what},
                    {"file", text_or_null(error.place.file)},
                    {"row", number_or_null(error.place.row)},
                    {"column", text_or_null(error.place.column)},
                    {"found", text_or_null(error.found)},
                    {"expected", text_or_null(error.expected)},
                    {"mend", text_or_null(error.mend)}});
}

Answer answer_error(int status, const Error& error) {
  return answer_json(ObjectText().add_text("error", error_text(error)).finish(), status);
}

Answer answer_error(const Error& error) {
  return answer_error(status_for(error.kind), error);
}

Answer with_etag(const Request& request, std::string_view etag, Answer answer) {
  const std::string written = fmt::format("\"{}\"", etag);
  answer.headers.emplace_back("ETag", written);
  if (request.if_none_match == written) {
    answer.status = status::kNotModified;
    answer.body = nullptr;
  }
  return answer;
}

std::string bare_etag(std::string_view written) {
  if (written.starts_with("W/")) written.remove_prefix(2);
  if (written.size() >= 2 && written.front() == '"' && written.back() == '"') {
    written.remove_prefix(1);
    written.remove_suffix(1);
  }
  return std::string(written);
}

}  // namespace ohmglow::serve
