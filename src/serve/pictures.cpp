#include "offered/files/folder.h"
#include "ohmglow/imaging.h"
#include "serve/parts_of_answers.h"
#include "serve/routes.h"

#include <algorithm>
#include <bit>
#include <cstring>
#include <fmt/format.h>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

namespace ohmglow::serve {
namespace {

static_assert(std::endian::native == std::endian::little, "temperatures are sent as they lie");

constexpr int kThumbnailWidth = 160;
constexpr std::uint64_t kMostPhotoBytes = std::uint64_t{64} << 20;

/// Changes with the file, its page and what its numbers mean.
std::string etag_of(const diagnosis::ImageResult& result, const ImageEntry& entry,
                    const imaging::ThermalImage& image) {
  const Declaration& declaration = image.declaration();
  const std::string what =
      fmt::format("{} {} {} {} {}", result.sha256, entry.parameters.page.value_or(1),
                  declaration.scale, declaration.offset, static_cast<int>(declaration.unit));
  return records::sha256(std::as_bytes(std::span(what)));
}

/// An image of the request, opened.
struct OpenedImage {
  NamedImage named;
  imaging::ThermalImage image;
  std::string etag;
};

Result<OpenedImage> open(OpenSurvey& served, const Request& request) {
  const auto source = source_of(served, request);
  if (!source) return fail(source.error());
  assessment::Workbench& bench = *source->bench;
  const auto named = named_image(bench, request);
  if (!named) return fail(named.error());
  auto image = bench.image(named->place);
  if (!image) return fail(image.error());
  const auto motor = bench.motor(named->entry.motor);
  const auto index = motor ? motor->place_of(named->place) : std::nullopt;
  if (!index) return fail(no_such_motor(named->entry.motor));
  std::string etag = etag_of(motor->assessment.images[*index], named->entry, *image);
  return OpenedImage{*named, std::move(*image), std::move(etag)};
}

Answer bytes_answer(std::string_view media_type, std::string bytes) {
  Answer answer;
  answer.media_type = media_type;
  answer.body = std::make_shared<const std::string>(std::move(bytes));
  return answer;
}

cv::Mat reduced(const cv::Mat& celsius) {
  if (celsius.cols <= kThumbnailWidth) return celsius;
  const int height = std::max(celsius.rows * kThumbnailWidth / celsius.cols, 1);
  cv::Mat small;
  cv::resize(celsius, small, cv::Size(kThumbnailWidth, height), 0, 0, cv::INTER_AREA);
  return small;
}

/// What browsers draw, told from the first bytes; empty for anything else.
std::string_view picture_type(std::string_view bytes) {
  using std::string_view_literals::operator""sv;
  if (bytes.starts_with("\xff\xd8\xff"sv)) return "image/jpeg";
  if (bytes.starts_with("\x89PNG\r\n\x1a\n"sv)) return "image/png";
  if (bytes.starts_with("RIFF"sv) && bytes.substr(8, 4) == "WEBP"sv) return "image/webp";
  return {};
}

}  // namespace

Answer get_temperatures(OpenSurvey& served, const Request& request) {
  const auto opened = open(served, request);
  if (!opened) return answer_error(opened.error());
  const cv::Mat celsius = opened->image.celsius();
  std::string bytes(celsius.total() * sizeof(float), '\0');
  const std::size_t row_bytes = static_cast<std::size_t>(celsius.cols) * sizeof(float);
  for (int y = 0; y < celsius.rows; ++y) {
    std::memcpy(bytes.data() + static_cast<std::size_t>(y) * row_bytes, celsius.ptr(y), row_bytes);
  }
  Answer answer = bytes_answer("application/octet-stream", std::move(bytes));
  answer.headers.emplace_back("X-Width", std::to_string(celsius.cols));
  answer.headers.emplace_back("X-Height", std::to_string(celsius.rows));
  return with_etag(request, opened->etag, std::move(answer));
}

Answer get_thumbnail(OpenSurvey& served, const Request& request) {
  const auto opened = open(served, request);
  if (!opened) return answer_error(opened.error());
  const cv::Mat small = reduced(opened->image.celsius());
  const imaging::Statistics range = imaging::statistics(small);
  const auto png = imaging::encode_png(
      imaging::render(small, Celsius{range.min}, Celsius{range.max}, imaging::Palette::inferno));
  if (!png) return answer_error(png.error());
  const auto* bytes = reinterpret_cast<const char*>(png->data());
  return with_etag(request, opened->etag,
                   bytes_answer("image/png", std::string(bytes, png->size())));
}

Answer get_photo(OpenSurvey& served, const Request& request) {
  const auto named = named_image(served, request);
  if (!named) return answer_error(named.error());
  const std::string& photo = named->entry.photo;
  if (photo.empty()) {
    return answer_error({.kind = ErrorKind::missing,
                         .what = "no photograph is named for this image",
                         .found = named->entry.file,
                         .mend = "name one in column photo of images.csv"});
  }
  const auto path = records::resolve_inside(served.folder(), photo);
  if (!path) return answer_error(path.error().in_file(photo));
  const auto bytes = imaging::read_bytes(*path, kMostPhotoBytes);
  if (!bytes) return answer_error(bytes.error().in_file(photo));
  std::string text(reinterpret_cast<const char*>(bytes->data()), bytes->size());
  const std::string_view type = picture_type(text);
  if (type.empty()) {
    return answer_error(Error{.kind = ErrorKind::not_this_format,
                              .what = "this photograph is no picture that a browser draws",
                              .expected = "JPEG, PNG or WebP"}
                            .in_file(photo));
  }
  const std::string etag = records::sha256(*bytes);
  return with_etag(request, etag, bytes_answer(type, std::move(text)));
}

}  // namespace ohmglow::serve
