#include "drawing_svg.h"
#include "offered/report/plain_text.h"
#include "offered/report/report.h"
#include "picture.h"

#include <fmt/format.h>
#include <nettle/base64.h>

namespace ohmglow::report {

std::string base64(std::span<const std::byte> bytes) {
  std::string text(BASE64_ENCODE_RAW_LENGTH(bytes.size()), '\0');
  base64_encode_raw(text.data(), bytes.size(), reinterpret_cast<const std::uint8_t*>(bytes.data()));
  return text;
}

Result<std::string> picture_svg(const Picture& picture, const std::string& file) {
  const auto png = imaging::encode_png(picture.frame);
  if (!png) return fail(png.error().in_file(file));
  const std::string title = escape(picture.over.title);
  std::string svg = fmt::format(
      R"(<svg xmlns="http://www.w3.org/2000/svg" class="picture" role="img" aria-label="{0}" viewBox="0 0 {1} {2:.1f}" width="100%" font-family="inherit"><title>{0}</title>)",
      title, picture.over.width, picture.over.height);
  svg += fmt::format(
      R"(<image width="{}" height="{}" preserveAspectRatio="none"{} href="data:image/png;base64,{}"/>)",
      picture.width, picture.height, picture.shows_pixels ? R"( image-rendering="pixelated")" : "",
      base64(*png));
  return svg + svg_items(picture.over) + "</svg>";
}

Result<std::string> picture_svg(const imaging::ThermalImage& image,
                                const diagnosis::ImageResult& result, const MarkFile* marks) {
  const auto picture = picture_of(image, result, marks);
  if (!picture) return fail(picture.error());
  return picture_svg(*picture, result.file);
}

}  // namespace ohmglow::report
