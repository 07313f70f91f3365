#include "serve/packing.h"

#include <algorithm>
#include <zlib.h>

namespace ohmglow::serve {
namespace {

constexpr std::size_t kShortest = 1024;  ///< bytes; less fits one packet anyway
constexpr int kGzipWindow = 15 + 16;     ///< zlib's largest window, with a gzip header
constexpr int kMemoryLevel = 8;          ///< zlib's default

bool is_text(std::string_view type) {
  return type.starts_with("text/") || type.starts_with("application/json") ||
         type.starts_with("image/svg");
}

bool has_encoding(const Answer& answer) {
  return std::any_of(answer.headers.begin(), answer.headers.end(),
                     [](const auto& header) { return header.first == "Content-Encoding"; });
}

/// Null where zlib does not manage; the answer then goes as it is.
std::shared_ptr<const std::string> gzip(const std::string& text) {
  z_stream stream{};
  if (deflateInit2(&stream, Z_BEST_SPEED, Z_DEFLATED, kGzipWindow, kMemoryLevel,
                   Z_DEFAULT_STRATEGY) != Z_OK) {
    return nullptr;
  }
  std::string gzipped(deflateBound(&stream, text.size()), '\0');
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(text.data()));
  stream.avail_in = static_cast<uInt>(text.size());
  stream.next_out = reinterpret_cast<Bytef*>(gzipped.data());
  stream.avail_out = static_cast<uInt>(gzipped.size());
  const bool is_whole = deflate(&stream, Z_FINISH) == Z_STREAM_END;
  gzipped.resize(stream.total_out);
  deflateEnd(&stream);
  return is_whole ? std::make_shared<const std::string>(std::move(gzipped)) : nullptr;
}

}  // namespace

Answer packed(const Answer& answer, std::string_view accept_encoding) {
  constexpr std::size_t kLongest = std::size_t{1} << 30;  // zlib counts in 32 bits
  const bool gains = answer.body != nullptr && answer.body->size() >= kShortest &&
                     answer.body->size() <= kLongest && is_text(answer.media_type) &&
                     !has_encoding(answer);
  if (!gains || accept_encoding.find("gzip") == std::string_view::npos) return answer;
  auto body = gzip(*answer.body);
  if (body == nullptr) return answer;
  Answer gzipped = answer;
  gzipped.body = std::move(body);
  gzipped.headers.emplace_back("Content-Encoding", "gzip");
  gzipped.headers.emplace_back("Vary", "Accept-Encoding");
  return gzipped;
}

}  // namespace ohmglow::serve
