// Source of the layouts: TIFF 6.0 and the BigTIFF design; each file is written tag by tag here and
// lies in one place. The right error is the pass.

#include "imaging/tiff_declaration.h"
#include "test_images.h"
#include "tiff_builder.h"

#include <catch2/catch.hpp>
#include <chrono>
#include <ctime>
#include <opencv2/core.hpp>
#include <zlib.h>

using namespace ohmglow;
using namespace ohmglow::imaging;

namespace {

Result<StoredImage> read_tiff(const std::string& text, int page = 1,
                              const ReadLimits& limits = {}) {
  return read_stored(std::as_bytes(std::span(text)), "a.tif", {.page = page, .limits = limits});
}

std::string deflated(const std::string& bytes) {
  uLongf size = compressBound(bytes.size());
  std::string result(size, '\0');
  REQUIRE(compress(reinterpret_cast<Bytef*>(result.data()), &size,
                   reinterpret_cast<const Bytef*>(bytes.data()), bytes.size()) == Z_OK);
  result.resize(size);
  return result;
}

/// An image of `width` x `height` whose only strip holds `data`.
std::string one_strip(std::uint64_t width, std::uint64_t height, const std::string& data,
                      const std::vector<TiffTag>& instead = {}, bool big = false) {
  TiffBuilder tiff(big);
  const auto at = tiff.data(data);
  tiff.directory(plain_tags(width, height, at, data.size(), instead));
  return tiff.text();
}

ErrorKind kind_of_tiff(const std::string& text, int page = 1) {
  const auto image = read_tiff(text, page);
  INFO(why(image));
  REQUIRE_FALSE(image);
  CHECK_FALSE(sentence(image.error()).empty());
  return image.error().kind;
}

const std::string kPixels(6 * 4 * 2, '\1');

}  // namespace

TEST_CASE("the plain image that the lying ones are made from is read") {
  for (const bool big : {false, true}) {
    const auto image = read_tiff(one_strip(6, 4, kPixels, {}, big));
    INFO(why(image));
    REQUIRE(image);
    CHECK(image->pixels.size() == cv::Size(6, 4));
    CHECK(image->pixels.at<std::uint16_t>(3, 5) == 0x0101);
  }
  CHECK(read_tiff(one_strip(6, 4, deflated(kPixels), {{259, 3, 1, 8}})));
}

TEST_CASE("photometric interpretation, rows per strip and sample format may be absent") {
  // Source: radiometric frames in the field omit the first two; their defaults are those of
  // TIFF 6.0.
  TiffBuilder tiff;
  const auto at = tiff.data(kPixels);
  tiff.directory({{256, 4, 1, 6},
                  {257, 4, 1, 4},
                  {258, 3, 1, 16},
                  {259, 3, 1, 1},
                  {273, 4, 1, at},
                  {277, 3, 1, 1},
                  {279, 4, 1, kPixels.size()}});
  const auto image = read_tiff(tiff.text());
  INFO(why(image));
  REQUIRE(image);
  CHECK(image->dtype == "uint16");
}

TEST_CASE("a page list that runs in a circle is damaged, on every page") {
  for (const bool big : {false, true}) {
    TiffBuilder tiff(big);
    const auto at = tiff.data(kPixels);
    const auto first = tiff.directory(plain_tags(6, 4, at, kPixels.size()));
    tiff.directory(plain_tags(6, 4, at, kPixels.size()));
    CHECK(read_tiff(tiff.text(), 2)->pages == 2);
    tiff.link_to(first);
    CHECK(kind_of_tiff(tiff.text()) == ErrorKind::damaged);
    CHECK(kind_of_tiff(tiff.text(), 2) == ErrorKind::damaged);
    CHECK(kind_of_tiff(tiff.text(), 2'000'000) == ErrorKind::damaged);
    const auto itself = tiff.directory(plain_tags(6, 4, at, kPixels.size()));
    tiff.link_to(itself);
    CHECK(kind_of_tiff(tiff.text()) == ErrorKind::damaged);
  }
}

TEST_CASE("a page list that leaves the file is damaged") {
  TiffBuilder tiff;
  const auto at = tiff.data(kPixels);
  tiff.directory(plain_tags(6, 4, at, kPixels.size()));
  for (const std::uint64_t next :
       {std::uint64_t{1} << 31, std::uint64_t{0xFFFF'FFFF}, std::uint64_t{tiff.text().size()},
        std::uint64_t{tiff.text().size() - 1}}) {
    tiff.link_to(next);
    CHECK(kind_of_tiff(tiff.text()) == ErrorKind::damaged);
  }
  CHECK(kind_of_tiff(std::string("II*\0\0\0\0\0", 8)) == ErrorKind::damaged);
  CHECK(kind_of_tiff(std::string("II*\0", 4)) == ErrorKind::damaged);
  CHECK(kind_of_tiff(std::string("MM\0+", 4)) == ErrorKind::damaged);
  CHECK(kind_of_tiff(std::string("II*\0\xFF\xFF\xFF\xFF", 8)) == ErrorKind::damaged);
}

TEST_CASE("a hundred thousand pages are walked in a moment") {
  TiffBuilder tiff;
  const auto at = tiff.data(kPixels);
  constexpr int kPages = 100'000;
  for (int i = 0; i < kPages; ++i) tiff.directory(plain_tags(6, 4, at, kPixels.size()));
  const auto start = std::chrono::steady_clock::now();
  const auto image = read_tiff(tiff.text(), kPages);
  REQUIRE(image);
  CHECK(image->pages == kPages);
  // Generous for a loaded machine under a sanitizer; a quadratic walk takes minutes.
  CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds(5));
}

TEST_CASE("declared sizes that the file cannot hold are refused before anything is allocated") {
  CHECK(kind_of_tiff(one_strip(14'000, 14'000, kPixels)) == ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(14'000, 14'000, deflated(kPixels), {{259, 3, 1, 8}})) ==
        ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(14'000, 14'000, kPixels, {{259, 3, 1, 5}})) == ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(14'000, 14'000, kPixels, {{259, 3, 1, 32773}})) ==
        ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(6, 5, kPixels)) == ErrorKind::damaged);
  for (const std::uint64_t huge : {0x7FFF'FFFFu, 0x8000'0000u, 0xFFFF'FFFFu}) {
    CAPTURE(huge);
    for (const auto& text :
         {one_strip(huge, huge, kPixels), one_strip(6, huge, kPixels), one_strip(huge, 4, kPixels),
          one_strip(6, huge, kPixels, {{278, 4, 1, 1}})}) {
      const auto kind = kind_of_tiff(text);
      CHECK((kind == ErrorKind::damaged || kind == ErrorKind::too_large));
    }
  }
}

TEST_CASE("an image without pixels is damaged") {
  CHECK(kind_of_tiff(one_strip(0, 4, kPixels)) == ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(6, 0, kPixels)) == ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{278, 4, 1, 0}})) == ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{322, 3, 1, 0}, {323, 3, 1, 16}})) ==
        ErrorKind::damaged);
}

TEST_CASE("a strip that decodes to more than it may hold is a rejected image") {
  const std::string more = kPixels + std::string(2, '\1');
  CHECK(kind_of_tiff(one_strip(6, 4, more)) == ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(6, 4, deflated(more), {{259, 3, 1, 8}})) == ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(6, 4, deflated(more), {{259, 3, 1, 32946}})) == ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(6, 4, deflated(std::string(40'000, '\1')), {{259, 3, 1, 8}})) ==
        ErrorKind::damaged);
  // PackBits: 48 bytes as a run of 48, then a row more.
  CHECK(read_tiff(one_strip(6, 4, "\xD1\1", {{259, 3, 1, 32773}})));
  CHECK(kind_of_tiff(one_strip(6, 4, "\xD1\1\xF5\1", {{259, 3, 1, 32773}})) == ErrorKind::damaged);
  // LZW: clear, 48 times the byte 1 in nine bits, end; then the same with two bytes more.
  const auto lzw = [](int count) {
    std::vector<unsigned> codes{256};
    codes.insert(codes.end(), static_cast<std::size_t>(count), 1);
    codes.push_back(257);
    std::string bytes;
    unsigned held = 0;
    unsigned buffer = 0;
    for (const unsigned code : codes) {
      buffer = (buffer << 9 | code) & 0xFFFFF;
      for (held += 9; held >= 8; held -= 8) bytes += static_cast<char>(buffer >> (held - 8) & 0xFF);
    }
    return bytes + static_cast<char>(buffer << (8 - held) & 0xFF);
  };
  CHECK(read_tiff(one_strip(6, 4, lzw(48), {{259, 3, 1, 5}})));
  CHECK(kind_of_tiff(one_strip(6, 4, lzw(50), {{259, 3, 1, 5}})) == ErrorKind::damaged);
  CHECK(kind_of_tiff(one_strip(6, 4, lzw(46), {{259, 3, 1, 5}})) == ErrorKind::damaged);
}

TEST_CASE("a shorter last strip may be filled up to a whole one, but not further") {
  // Source: writers of this kind are noted in libtiff's Deflate codec.
  const auto two_strips = [](const std::string& last, std::uint16_t compression) {
    TiffBuilder tiff;
    const std::string first =
        compression == 1 ? std::string(6 * 3 * 2, '\1') : deflated(std::string(6 * 3 * 2, '\1'));
    const auto first_at = tiff.data(first);
    const auto last_at = tiff.data(last);
    const auto word = [](std::uint64_t v) {
      return std::string{static_cast<char>(v & 0xFF), static_cast<char>(v >> 8), 0, 0};
    };
    const auto offsets = tiff.data(word(first_at) + word(last_at));
    const auto counts = tiff.data(word(first.size()) + word(last.size()));
    tiff.directory(plain_tags(
        6, 4, 0, 0,
        {{259, 3, 1, compression}, {273, 4, 2, offsets}, {278, 4, 1, 3}, {279, 4, 2, counts}}));
    return tiff.text();
  };
  for (const std::size_t rows : {1u, 2u, 3u}) {
    const auto image = read_tiff(two_strips(std::string(6 * rows * 2, '\2'), 1));
    INFO(rows << " rows: " << why(image));
    REQUIRE(image);
    CHECK(image->pixels.at<std::uint16_t>(3, 0) == 0x0202);
    CHECK(image->pixels.at<std::uint16_t>(2, 0) == 0x0101);
    CHECK(read_tiff(two_strips(deflated(std::string(6 * rows * 2, '\2')), 8)));
  }
  CHECK(kind_of_tiff(two_strips(std::string(6 * 4 * 2, '\2'), 1)) == ErrorKind::damaged);
  CHECK(kind_of_tiff(two_strips(deflated(std::string(6 * 4 * 2, '\2')), 8)) == ErrorKind::damaged);
  CHECK(kind_of_tiff(two_strips(deflated(std::string(10, '\2')), 8)) == ErrorKind::damaged);
}

TEST_CASE("strips that lie outside the file are damaged") {
  for (const std::uint64_t offset :
       {std::uint64_t{0}, std::uint64_t{100'000}, std::uint64_t{0xFFFF'FFFF}}) {
    CAPTURE(offset);
    CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{273, 4, 1, offset}})) == ErrorKind::damaged);
  }
  for (const std::uint64_t bytes : {std::uint64_t{0}, std::uint64_t{47}, std::uint64_t{49}}) {
    CAPTURE(bytes);
    CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{259, 3, 1, 8}, {279, 4, 1, bytes}})) ==
          ErrorKind::damaged);
  }
  CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{273, 16, 1, ~std::uint64_t{0}}}, true)) ==
        ErrorKind::damaged);
}

TEST_CASE("tiles far larger than the image are refused") {
  const auto tiled = [](std::uint64_t side, const std::string& data) {
    TiffBuilder tiff;
    const auto at = tiff.data(data);
    tiff.directory({{256, 4, 1, 6},
                    {257, 4, 1, 4},
                    {258, 3, 1, 16},
                    {259, 3, 1, 8},
                    {262, 3, 1, 1},
                    {277, 3, 1, 1},
                    {322, 4, 1, side},
                    {323, 4, 1, side},
                    {324, 4, 1, at},
                    {325, 4, 1, data.size()},
                    {339, 3, 1, 1}});
    return tiff.text();
  };
  CHECK(read_tiff(tiled(16, deflated(std::string(16 * 16 * 2, '\1')))));
  CHECK(kind_of_tiff(tiled(12'800, deflated(kPixels))) == ErrorKind::damaged);
  for (const std::uint64_t side :
       {std::uint64_t{65'536}, std::uint64_t{0x4000'0000}, std::uint64_t{0xFFFF'FFF0}}) {
    CAPTURE(side);
    const auto kind = kind_of_tiff(tiled(side, deflated(kPixels)));
    CHECK((kind == ErrorKind::too_large || kind == ErrorKind::damaged));
  }
  CHECK(kind_of_tiff(tiled(16, deflated(std::string(16 * 16 * 2 + 1, '\1')))) ==
        ErrorKind::damaged);
}

TEST_CASE("what is not one number a pixel is said to be a picture, or unsupported") {
  const std::string bytes(6 * 4 * 3, '\1');
  const auto rgb =
      read_tiff(one_strip(6, 4, bytes, {{258, 3, 1, 8}, {262, 3, 1, 2}, {277, 3, 1, 3}}));
  REQUIRE_FALSE(rgb);
  CHECK(rgb.error().what == "this is a picture of temperatures, not temperatures");
  CHECK(rgb.error().mend.find("16-bit TIFF") != std::string::npos);
  const auto palette = read_tiff(one_strip(6, 4, std::string(768 * 2, '\1'),
                                           {{258, 3, 1, 8}, {262, 3, 1, 3}, {320, 3, 768, 8}}));
  REQUIRE_FALSE(palette);
  CHECK(palette.error().what == rgb.error().what);
  CHECK(kind_of_tiff(one_strip(6, 4, bytes, {{258, 3, 1, 1}})) == ErrorKind::not_this_format);

  CHECK(kind_of_tiff(one_strip(6, 4, std::string(144, '\1'), {{277, 3, 1, 3}})) ==
        ErrorKind::unsupported);
  CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{258, 3, 1, 12}})) == ErrorKind::unsupported);
  CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{339, 3, 1, 3}})) ==
        ErrorKind::unsupported);  // 16-bit float
  CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{339, 3, 1, 6}})) ==
        ErrorKind::unsupported);  // complex
  CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{259, 3, 1, 50000 + 1}})) == ErrorKind::unsupported);
  CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{259, 3, 1, 2}})) == ErrorKind::unsupported);
  CHECK(kind_of_tiff(one_strip(6, 4, kPixels, {{266, 3, 1, 2}})) == ErrorKind::unsupported);
  CHECK(kind_of_tiff(one_strip(6, 4, deflated(kPixels), {{259, 3, 1, 8}, {317, 3, 1, 3}})) ==
        ErrorKind::unsupported);
  CHECK(kind_of_tiff(one_strip(6, 4, deflated(kPixels), {{259, 3, 1, 8}, {317, 3, 1, 9}})) ==
        ErrorKind::unsupported);
}

TEST_CASE("a directory that repeats, drops or mistypes its tags never gets through unseen") {
  // Whatever the tags say, there is an image of the declared size or an error.
  const std::vector<TiffTag> tags = plain_tags(6, 4, 8, kPixels.size());
  for (std::size_t i = 0; i < tags.size(); ++i) {
    for (const TiffTag& change :
         {TiffTag{tags[i].tag, 2, 1, 65}, TiffTag{tags[i].tag, 3, 0, 0},
          TiffTag{tags[i].tag, 4, 0xFFFF'FFFF, 8}, TiffTag{tags[i].tag, 5, 1, 4},
          TiffTag{tags[i].tag, 99, 1, 1}, TiffTag{tags[i].tag, 4, 1, 0xFFFF'FFFF}}) {
      CAPTURE(change.tag, change.type, change.count);
      const auto image = read_tiff(one_strip(6, 4, kPixels, {change}));
      if (image) CHECK(image->pixels.total() <= 6 * 4);
    }
    TiffBuilder without;
    without.data(kPixels);
    auto fewer = tags;
    fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(i));
    without.directory(fewer);
    const auto image = read_tiff(without.text());
    if (image) CHECK(image->pixels.total() <= 6 * 4);
  }
}

namespace {

/// What the plain image declares with a text in one of its tags.
Result<Declaration> read_described(std::uint16_t tag, const std::string& text) {
  TiffBuilder tiff;
  const auto at = tiff.data(kPixels);
  const auto text_at = tiff.data(text + '\0');
  tiff.directory(plain_tags(6, 4, at, kPixels.size(), {{tag, 2, text.size() + 1, text_at}}));
  const auto image = read_tiff(tiff.text());
  REQUIRE(image);
  return resolve_declaration(*image, {});
}

std::string repeated(std::string_view piece, std::size_t times) {
  std::string text;
  for (std::size_t i = 0; i < times; ++i) text += piece;
  return text;
}

}  // namespace

TEST_CASE("a description that nests too deep or is too long refuses its image and ends nothing") {
  const std::string deep = repeated("[", 100'000) + repeated("]", 100'000);
  for (const std::string& description :
       {R"({"scale": )" + deep + "}", R"({"unit": ")" + std::string(2 << 20, ' ') + "\"}"}) {
    const auto image = read_described(270, description);
    REQUIRE_FALSE(image);
    CHECK(sentence(image.error()).size() < 400);
    CHECK(sentence(image.error()).find("ImageDescription") != std::string::npos);
  }
  const auto image = read_described(
      42112, "<Item name=\"note\">" + repeated("&lt;", 3 << 20) + "</Item><Item name=\"SCALE\">");
  REQUIRE_FALSE(image);
  CHECK(sentence(image.error()).find("GDAL_METADATA") != std::string::npos);
}

TEST_CASE("the time that a description takes grows with its length, not with its square") {
  // Processor time of this thread's program: a busy neighbour does not change it.
  const auto seconds_for = [](std::string_view piece, std::size_t bytes) {
    const std::string xml =
        "<Item name=\"unittype\">" + repeated(piece, bytes / piece.size()) + "</Item>";
    const std::clock_t from = std::clock();
    CHECK(declaration_in_gdal_metadata(xml));
    return static_cast<double>(std::clock() - from) / CLOCKS_PER_SEC;
  };
  constexpr double kQuadratic = 16.0 * 16.0;
  for (const std::string_view piece : {"&lt;", " ", "\xC2\xB0"}) {
    INFO(piece);
    const double least_s = 1e-3;  // the clock's own grain
    CHECK(seconds_for(piece, 1'000'000) <
          kQuadratic / 4 * std::max(seconds_for(piece, 62'500), least_s));
  }
}

TEST_CASE("entities are decoded once") {
  const auto of = [](const std::string& unit) {
    return declaration_in_gdal_metadata("<Item name=\"unittype\">" + unit + "</Item>");
  };
  CHECK(of("&#176;C")->unit == TemperatureUnit::celsius);
  CHECK(of("deg_C\r\n")->unit == TemperatureUnit::celsius);
  CHECK(of("\xB0 C")->unit == TemperatureUnit::celsius);
  CHECK_FALSE(of("&amp;lt;C")->unit);
}
