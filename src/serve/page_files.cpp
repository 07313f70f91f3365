#include "serve/page_files.h"

#include "embedded.h"
#include "offered/files/folder.h"

#include <algorithm>
#include <array>
#include <map>

namespace ohmglow::serve {
namespace {

constexpr std::string_view kIndex = "index.html";

constexpr std::array<std::pair<std::string_view, std::string_view>, 5> kMediaTypes{{
    {".html", "text/html; charset=utf-8"},
    {".js", "text/javascript; charset=utf-8"},
    {".css", "text/css; charset=utf-8"},
    {".svg", "image/svg+xml"},
    {".txt", "text/plain; charset=utf-8"},
}};

struct PageFile {
  std::shared_ptr<const std::string> content;
  std::string etag;
};

const std::map<std::string_view, PageFile>& files() {
  static const auto known = [] {
    std::map<std::string_view, PageFile> all;
    for (const embedded::File& file : embedded::page()) {
      all.emplace(file.name, PageFile{std::make_shared<const std::string>(file.content),
                                      records::sha256(std::as_bytes(std::span(file.content)))});
    }
    return all;
  }();
  return known;
}

Answer without_page() {
  Answer answer;
  answer.status = status::kNotFound;
  answer.media_type = "text/plain; charset=utf-8";
  answer.body = std::make_shared<const std::string>(
      "This build of ohmglow has no page (it was built with OHMGLOW_PAGE=OFF).\n"
      "The API is served under /api/, as docs/api/openapi.json describes it.\n");
  return answer;
}

}  // namespace

bool has_page() {
  return files().contains(kIndex);
}

Answer page_file(const Request& request) {
  if (!has_page()) return without_page();
  std::string_view name = request.path;
  name.remove_prefix(std::min<std::size_t>(1, name.size()));
  if (name.ends_with(".gz") || !files().contains(name)) name = kIndex;
  Answer answer;
  answer.media_type = "application/octet-stream";
  for (const auto& [ending, type] : kMediaTypes) {
    if (name.ends_with(ending)) answer.media_type = type;
  }
  const PageFile* file = &files().at(name);
  const auto packed = files().find(std::string(name) + ".gz");
  answer.headers.emplace_back("Vary", "Accept-Encoding");
  if (packed != files().end() && request.accept_encoding.find("gzip") != std::string::npos) {
    file = &packed->second;
    answer.headers.emplace_back("Content-Encoding", "gzip");
  }
  answer.body = file->content;
  return with_etag(request, file->etag, std::move(answer));
}

}  // namespace ohmglow::serve
