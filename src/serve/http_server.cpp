#include "offered/serve/serve.h"
#include "ohmglow/imaging.h"
#include "ohmglow/version.h"
#include "serve/addresses.h"
#include "serve/gate.h"
#include "serve/packing.h"
#include "serve/page_files.h"
#include "serve/port.h"
#include "serve/served_folder.h"

#include <algorithm>
#include <fmt/format.h>
#include <fstream>
#include <httplib.h>
#include <sys/socket.h>
#include <thread>

namespace ohmglow::serve {
namespace {

/// A mark file with some thousand polygons fits.
constexpr std::size_t kMostBodyBytes = std::size_t{8} << 20;
/// A connection holds one until it has been answered: those who are slow must not hold them all.
constexpr int kThreads = 256;
constexpr std::time_t kTimeout_s = 10;
/// A connection that is kept for the next request holds a thread meanwhile. Less than the page's
/// pause between two looks for news, so that open pages hold none.
constexpr std::time_t kKeptOpen_s = 1;
constexpr std::size_t kRequestsOfConnection = 100'000;

constexpr const char* kPolicy =
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
    "connect-src 'self'; font-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'";

httplib::Headers headers_of_everything() {
  return {{"Content-Security-Policy", kPolicy},
          {"X-Content-Type-Options", "nosniff"},
          {"Referrer-Policy", "no-referrer"},
          {"Cross-Origin-Resource-Policy", "same-origin"},
          {"Cross-Origin-Opener-Policy", "same-origin"},
          {"X-Frame-Options", "DENY"},
          {"Cache-Control", "no-cache"}};
}

/// Of a header that is there twice, both: none of the names that are known.
std::string all_values(const httplib::Request& request, const char* header) {
  std::string all;
  for (std::size_t i = 0; i < request.get_header_value_count(header); ++i) {
    all += (i == 0 ? "" : ", ") + request.get_header_value(header, i);
  }
  return all;
}

Caller caller_of(const httplib::Request& request) {
  return {.method = request.method,
          .path = request.path,
          .host = all_values(request, "Host"),
          .origin = request.get_header_value("Origin"),
          .authorization = request.get_header_value("Authorization"),
          .cookie = request.get_header_value("Cookie"),
          .token = request.has_param("token") ? request.get_param_value("token") : "",
          .csrf = request.get_header_value("X-Ohmglow-Token"),
          .content_type = request.get_header_value("Content-Type"),
          .has_body = !request.body.empty()};
}

Request request_of(const httplib::Request& from) {
  return {.method = from.method == "HEAD" ? "GET" : from.method,
          .path = from.path,
          .query = from.params,
          .if_match = from.get_header_value("If-Match"),
          .if_none_match = from.get_header_value("If-None-Match"),
          .accept_encoding = from.get_header_value("Accept-Encoding"),
          .body = from.body};
}

constexpr std::size_t kPieceBytes = std::size_t{256} << 10;

/// Piece by piece from the disk.
void send_file(const Answer& answer, httplib::Response& response) {
  const auto stream = std::make_shared<std::ifstream>(answer.file->path, std::ios::binary);
  response.set_content_provider(
      answer.file->bytes, answer.media_type,
      [stream, file = answer.file](std::size_t offset, std::size_t length,
                                   httplib::DataSink& sink) {
        std::string piece(std::min(length, kPieceBytes), '\0');
        stream->seekg(static_cast<std::streamoff>(offset));
        stream->read(piece.data(), static_cast<std::streamsize>(piece.size()));
        return stream->gcount() > 0 &&
               sink.write(piece.data(), static_cast<std::size_t>(stream->gcount()));
      });
}

void send(const Answer& whole, const httplib::Request& request, httplib::Response& response) {
  const Answer answer = packed(whole, request.get_header_value("Accept-Encoding"));
  response.status = answer.status;
  for (const auto& [name, value] : answer.headers) response.set_header(name, value);
  if (answer.file != nullptr) return send_file(answer, response);
  if (answer.body == nullptr) return;
  if (answer.body->empty()) return response.set_content("", answer.media_type);
  // By a provider: the library would pack a body that it is given whole, at its slowest setting.
  response.set_content_provider(
      answer.body->size(), answer.media_type,
      [body = answer.body](std::size_t offset, std::size_t length, httplib::DataSink& sink) {
        return sink.write(body->data() + offset, length);
      });
}

std::string percent_encoded(std::string_view text, std::string_view kept) {
  std::string encoded;
  for (const char c : text) {
    const bool is_plain =
        (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    if (is_plain || kept.find(c) != std::string_view::npos) {
      encoded += c;
    } else {
      encoded += fmt::format("%{:02X}", static_cast<unsigned char>(c));
    }
  }
  return encoded;
}

/// The same address without the token; always one of this server: "//host" would be another's.
std::string without_token(const httplib::Request& request) {
  const auto begin = std::min(request.path.find_first_not_of('/'), request.path.size());
  std::string address = "/";
  address += percent_encoded(std::string_view(request.path).substr(begin), "-._~/");
  char before = '?';
  for (const auto& [name, value] : request.params) {
    if (name == "token") continue;
    address += before + percent_encoded(name, "-._~") + "=" + percent_encoded(value, "-._~");
    before = '&';
  }
  return address;
}

class HttpServer : public Server {
 public:
  HttpServer(std::unique_ptr<ServedFolder> served, std::unique_ptr<httplib::Server> http)
      : served_(std::move(served)), http_(std::move(http)) {}
  ~HttpServer() override { stop(); }

  [[nodiscard]] Result<void> listen(const Settings& settings) {
    set_up(*http_);
    int port = settings.port;
    if (port == 0) {
      // The same one at every start: what the browser keeps for a page belongs to its address.
      port = steady_port(settings.folder);
      if (!http_->bind_to_port(settings.address, port)) {
        port = http_->bind_to_any_port(settings.address);
      }
    } else if (!http_->bind_to_port(settings.address, port)) {
      port = -1;
    }
    if (port < 0) {
      return fail(
          {.kind = ErrorKind::system,
           .what = fmt::format("port {} of {} cannot be used", settings.port, settings.address),
           .mend = "another program may use it: leave --port out, or choose another"});
    }
    if (const auto known = know_names(settings, port); !known) return known;
    served_->begin();
    listening_ = std::jthread([this] { http_->listen_after_bind(); });
    while (!http_->is_running()) std::this_thread::sleep_for(std::chrono::milliseconds(1));
    return {};
  }

  [[nodiscard]] std::string url() const override { return url_; }
  [[nodiscard]] bool has_page() const override { return serve::has_page(); }

  void stop() override {
    served_->stop();
    http_->stop();
    if (listening_.joinable()) listening_.join();
  }

 private:
  Result<void> know_names(const Settings& settings, int port) {
    const bool tls = !settings.certificate.empty();
    const std::string scheme = tls ? "https" : "http";
    std::vector<std::string> names{"127.0.0.1", "localhost", "::1"};
    std::string shown = is_any(settings.address) ? "localhost" : settings.address;
    if (!is_any(settings.address)) names.push_back(settings.address);
    if (tls) {
      const auto certified = certificate_names(settings.certificate);
      if (!certified) return fail(certified.error());
      if (is_any(settings.address) && !certified->empty()) shown = certified->front();
      names.insert(names.end(), certified->begin(), certified->end());
    }
    url_ = fmt::format("{}://{}:{}/", scheme, url_host(shown), port);
    gate_.emplace(Gate::Rules{.scheme = scheme,
                              .hosts = host_headers(names, port, scheme),
                              .token = settings.token,
                              .csrf = served_->csrf()});
    return {};
  }

  void set_up(httplib::Server& http) {
    http.new_task_queue = [] { return new httplib::ThreadPool(kThreads); };
    http.set_payload_max_length(kMostBodyBytes);
    http.set_read_timeout(kTimeout_s);
    http.set_write_timeout(kTimeout_s);
    http.set_keep_alive_timeout(kKeptOpen_s);
    http.set_keep_alive_max_count(kRequestsOfConnection);
    http.set_tcp_nodelay(true);
    // Not the library's own, by which a second program could listen at the same port.
    http.set_socket_options([](socket_t socket) {
      const int yes = 1;
      setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    });
    http.set_default_headers(headers_of_everything());
    // A request without a body is answered at once; the others when their body has been read.
    http.set_pre_routing_handler(
        [this](const httplib::Request& request, httplib::Response& response) {
          const bool has_body =
              is_mutating(request.method) &&
              (request.has_header("Content-Length") || request.has_header("Transfer-Encoding"));
          if (has_body) return httplib::Server::HandlerResponse::Unhandled;
          handle(request, response);
          return httplib::Server::HandlerResponse::Handled;
        });
    const auto with_body = [this](const httplib::Request& request, httplib::Response& response) {
      handle(request, response);
    };
    const std::string any = ".*";  // what an address is for is told in one place, behind the gate
    http.Post(any, with_body);
    http.Put(any, with_body);
    http.Patch(any, with_body);
    http.Delete(any, with_body);
    http.set_error_handler([](const httplib::Request& request, httplib::Response& response) {
      if (response.body.empty() && response.content_length_ == 0) explain(request, response);
    });
    http.set_exception_handler([](const httplib::Request& request, httplib::Response& response,
                                  const std::exception_ptr&) {
      send(answer_error(status::kServerError,
                        {.kind = ErrorKind::system,
                         .what = "the server has met an error of its own",
                         .mend = "load the page again; what was saved is safe"}),
           request, response);
    });
  }

  /// What the library turns away by itself.
  static void explain(const httplib::Request& request, httplib::Response& response) {
    Error error{.kind = ErrorKind::invalid_value, .what = "the request cannot be understood"};
    if (response.status == status::kTooLarge) {
      error.what = "the body of the request is too large";
      error.expected = fmt::format("at most {} bytes", kMostBodyBytes);
    } else if (response.status == status::kNotFound) {
      error.what = "there is no such address that takes this method";
      error.found = request.method + " " + request.path;
    }
    send(answer_error(response.status, error), request, response);
  }

  void handle(const httplib::Request& request, httplib::Response& response) {
    const Caller caller = caller_of(request);
    if (const auto refused = gate_->refusal(caller)) return send(*refused, request, response);
    if (gate_->shows_token(caller)) {
      response.set_header("Set-Cookie", gate_->cookie());
      const bool is_page = !survey_path(request.path).path.starts_with("/api/");
      if (!is_mutating(request.method) && is_page) {
        return response.set_redirect(without_token(request), 303);
      }
    }
    const bool is_api =
        survey_path(request.path).path.starts_with("/api/") || is_mutating(request.method);
    const Request asked = request_of(request);
    send(is_api ? served_->answer(asked) : page_file(asked), request, response);
  }

  std::unique_ptr<ServedFolder> served_;
  std::unique_ptr<httplib::Server> http_;
  std::optional<Gate> gate_;
  std::string url_;
  std::jthread listening_;
};

Result<std::unique_ptr<httplib::Server>> make_http(const Settings& settings) {
  if (settings.certificate.empty()) return std::make_unique<httplib::Server>();
  const auto set_up = [&settings](SSL_CTX& context) {
    return SSL_CTX_set_min_proto_version(&context, TLS1_2_VERSION) == 1 &&
           SSL_CTX_use_certificate_chain_file(&context, settings.certificate.c_str()) == 1 &&
           SSL_CTX_use_PrivateKey_file(&context, settings.key.c_str(), SSL_FILETYPE_PEM) == 1 &&
           SSL_CTX_check_private_key(&context) == 1;
  };
  auto http = std::make_unique<httplib::SSLServer>(set_up);
  if (!http->is_valid()) {
    return fail({.kind = ErrorKind::not_this_format,
                 .what = "the certificate and its key cannot be used together",
                 .expected = "PEM files, the key that of the certificate and without a password",
                 .place = {.file = settings.certificate}});
  }
  return http;
}

}  // namespace

Result<std::unique_ptr<Server>> start(Settings settings) {
  if (const auto error = unsafe(settings)) return fail(*error);
  auto http = make_http(settings);
  if (!http) return fail(http.error());
  auto served = ServedFolder::open(settings);
  if (!served) return fail(served.error());
  auto server = std::make_unique<HttpServer>(std::move(*served), std::move(*http));
  if (const auto listening = server->listen(settings); !listening) return fail(listening.error());
  return server;
}

}  // namespace ohmglow::serve

extern "C" const ohmglow::serve::Part* ohmglow_part();
extern "C" const ohmglow::serve::Part* ohmglow_part() {
  static const ohmglow::serve::Part part{ohmglow::kVersion, ohmglow::serve::start};
  return &part;
}
