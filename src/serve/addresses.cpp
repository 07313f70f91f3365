#include "serve/addresses.h"

#include "offered/serve/serve.h"

#include <algorithm>
#include <arpa/inet.h>
#include <array>
#include <cctype>
#include <fmt/format.h>
#include <memory>
#include <netinet/in.h>
#include <openssl/pem.h>
#include <openssl/x509v3.h>

namespace ohmglow::serve {
namespace {

/// A token that is shorter can be tried out.
constexpr std::size_t kShortestToken = 32;

struct Free {
  void operator()(BIO* bio) const { BIO_free(bio); }
  void operator()(X509* certificate) const { X509_free(certificate); }
  void operator()(GENERAL_NAMES* names) const { GENERAL_NAMES_free(names); }
};

std::string text_of(const ASN1_STRING* text) {
  return {reinterpret_cast<const char*>(ASN1_STRING_get0_data(text)),
          static_cast<std::size_t>(ASN1_STRING_length(text))};
}

std::string address_of(const ASN1_STRING* bytes) {
  std::array<char, INET6_ADDRSTRLEN> text{};
  const int family = ASN1_STRING_length(bytes) == 4 ? AF_INET : AF_INET6;
  const char* written = inet_ntop(family, ASN1_STRING_get0_data(bytes), text.data(), text.size());
  return written == nullptr ? std::string() : std::string(written);
}

std::string lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

Error not_safe(std::string what, std::string expected, std::string mend) {
  return {.kind = ErrorKind::invalid_value,
          .what = std::move(what),
          .expected = std::move(expected),
          .mend = std::move(mend)};
}

}  // namespace

bool is_loopback(std::string_view address) {
  const std::string text(address);
  in_addr four{};
  if (inet_pton(AF_INET, text.c_str(), &four) == 1) return (ntohl(four.s_addr) >> 24U) == 127;
  return text == "::1" || text == "localhost";
}

bool is_any(std::string_view address) {
  return address == "0.0.0.0" || address == "::";
}

std::optional<Error> unsafe(const Settings& settings) {
  const bool has_tls = !settings.certificate.empty() && !settings.key.empty();
  if (settings.certificate.empty() != settings.key.empty()) {
    return not_safe("TLS needs both of its files", "--certificate FILE and --key FILE",
                    "give both, or neither");
  }
  if (!is_loopback(settings.address) && (settings.token.empty() || !has_tls)) {
    return not_safe(
        fmt::format("others could reach {}: the survey would be open to the whole network",
                    settings.address),
        "--token FILE, --certificate FILE and --key FILE beside --listen",
        "leave --listen out to serve this computer alone, or see docs/serve.md");
  }
  if (!settings.token.empty() && settings.token.size() < kShortestToken) {
    return not_safe("the token is short enough to be guessed",
                    fmt::format("at least {} characters", kShortestToken),
                    "make one with: openssl rand -hex 32 > token");
  }
  return std::nullopt;
}

std::string url_host(std::string_view address) {
  return address.find(':') == std::string_view::npos ? std::string(address)
                                                     : fmt::format("[{}]", address);
}

Result<std::vector<std::string>> certificate_names(const std::filesystem::path& file) {
  const std::unique_ptr<BIO, Free> bio(BIO_new_file(file.c_str(), "r"));
  const std::unique_ptr<X509, Free> certificate(
      bio ? PEM_read_bio_X509(bio.get(), nullptr, nullptr, nullptr) : nullptr);
  if (certificate == nullptr) {
    return fail({.kind = ErrorKind::not_this_format,
                 .what = "the certificate cannot be read",
                 .expected = "a PEM file with a certificate",
                 .place = {.file = file.string()}});
  }
  std::vector<std::string> names;
  const std::unique_ptr<GENERAL_NAMES, Free> listed(static_cast<GENERAL_NAMES*>(
      X509_get_ext_d2i(certificate.get(), NID_subject_alt_name, nullptr, nullptr)));
  for (int i = 0; listed && i < sk_GENERAL_NAME_num(listed.get()); ++i) {
    const GENERAL_NAME* name = sk_GENERAL_NAME_value(listed.get(), i);
    if (name->type == GEN_DNS) names.push_back(lower(text_of(name->d.dNSName)));
    if (name->type == GEN_IPADD) names.push_back(address_of(name->d.iPAddress));
  }
  std::erase(names, "");
  return names;
}

std::set<std::string> host_headers(const std::vector<std::string>& names, int port,
                                   std::string_view scheme) {
  const bool is_own_port = port == (scheme == "https" ? 443 : 80);
  std::set<std::string> hosts;
  for (const std::string& name : names) {
    hosts.insert(fmt::format("{}:{}", url_host(name), port));
    if (is_own_port) hosts.insert(url_host(name));
  }
  return hosts;
}

}  // namespace ohmglow::serve
