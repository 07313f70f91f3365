// Small seeds of each format with bytes flipped, cut and repeated, by a fixed seed: each case must
// end in a Result, in little time, without a report of a sanitizer.

#include "test_images.h"
#include "tiff_builder.h"

#include <catch2/catch.hpp>
#include <chrono>
#include <opencv2/core.hpp>
#include <random>

using namespace ohmglow;
using namespace ohmglow::imaging;

namespace {

constexpr int kCasesPerSeed = 400;
constexpr ReadLimits kLimits{.max_pixels = 1'000'000, .max_bytes = 8 << 20};

struct Seed {
  std::string name;
  std::string bytes;
};

std::string npy_seed() {
  std::string header = "{'descr': '<f4', 'fortran_order': True, 'shape': (2, 6, 5), }\n";
  std::string text = "\x93NUMPY";
  for (const char c : {'\1', '\0', static_cast<char>(header.size()), '\0'}) text.push_back(c);
  text += header;
  return text + std::string(2 * 6 * 5 * 4, '\x41');
}

std::string fits_seed() {
  std::string text;
  for (std::string card :
       {"SIMPLE  =                    T", "BITPIX  =                   16",
        "NAXIS   =                    2", "NAXIS1  =                    8",
        "NAXIS2  =                    6", "BZERO   =                32768",
        "BSCALE  =                    1", "BLANK   =               -32768", "END"}) {
    card.resize(80, ' ');
    text += card;
  }
  text.resize(2880, ' ');
  return text + std::string(2880, '\x11');
}

std::string png_seed() {
  cv::Mat image(9, 11, CV_16UC1);
  for (int i = 0; i < 99; ++i)
    image.at<std::uint16_t>(i / 11, i % 11) = static_cast<std::uint16_t>(i * 300);
  const auto bytes = encode_png(image);
  REQUIRE(bytes);
  return {reinterpret_cast<const char*>(bytes->data()), bytes->size()};
}

std::string tiff_seed(bool big, std::uint16_t compression, const std::string& data) {
  TiffBuilder tiff(big);
  const std::string text = R"({"scale": 0.01, "unit": "k"})" + std::string(1, '\0');
  const std::string xml =
      "<GDALMetadata><Item name=\"SCALE\" sample=\"0\" role=\"scale\">2</Item></GDALMetadata>" +
      std::string(1, '\0');
  const auto at = tiff.data(data);
  const auto text_at = tiff.data(text);
  const auto xml_at = tiff.data(xml);
  for (int page = 0; page < 2; ++page) {
    auto tags = plain_tags(6, 4, at, data.size(), {{259, 3, 1, compression}});
    if (page == 0) tags.insert(tags.begin() + 5, {270, 2, text.size(), text_at});
    tags.push_back({42112, 2, xml.size(), xml_at});
    tiff.directory(tags);
  }
  return tiff.text();
}

std::vector<Seed> seeds() {
  const std::string deflated("\x78\x01\x63\x64\x20\x1E\x00\x00\x0C\x30\x00\x31", 12);
  const std::string lzw("\x80\x00\x40\x40\x60\x50\x38\x24\x16\x0D\x02\x02", 12);
  return {
      {"a.tif", tiff_seed(false, 1, std::string(48, '\1'))},
      {"a.tif", tiff_seed(true, 1, std::string(48, '\1'))},
      {"a.tif", tiff_seed(false, 8, deflated)},
      {"a.tif", tiff_seed(false, 5, lzw)},
      {"a.tif", tiff_seed(true, 32773, "\xD1\1")},
      {"a.tif",
       tiff_seed(false, 50000,
                 std::string("\x28\xB5\x2F\xFD\x20\x30\x4D\x00\x00\x10\x01\x01\x01\x00\x2B\x80\x05",
                             17))},
      {"a.npy", npy_seed()},
      {"a.fits", fits_seed()},
      {"a.png", png_seed()},
      {"a.csv", "3,4\n20.5,21.5,22.5\n20,nan,22\n1e1,-2,3\n4,5,6\n"},
      {"a.tsv", "20,5\t21,5\r\n\"20,0\"\t22,25\r\n"}};
}

std::string mutated(std::string bytes, std::mt19937& random) {
  const auto below = [&random](std::size_t n) {
    return std::uniform_int_distribution<std::size_t>(0, n - 1)(random);
  };
  constexpr std::array<int, 8> kWickedBytes{0x00, 0xFF, 0x7F, 0x80, 0x01, 0x0A, 0x22, 0x2C};
  for (std::size_t changes = 1 + below(4); changes > 0 && !bytes.empty(); --changes) {
    // Half of the changes go to the first hundred bytes, where headers are.
    const std::size_t at =
        below(2) == 0 ? below(std::min<std::size_t>(bytes.size(), 100)) : below(bytes.size());
    switch (below(5)) {
      case 0:
        bytes[at] = static_cast<char>(bytes[at] ^ (1 << below(8)));
        break;
      case 1:
        bytes[at] = static_cast<char>(kWickedBytes.at(below(kWickedBytes.size())));
        break;
      case 2:
        bytes.resize(at);
        break;
      case 3:
        bytes.insert(at, bytes.substr(at, below(32)));
        break;
      default:
        bytes.erase(at, below(16));
        break;
    }
  }
  return bytes;
}

}  // namespace

TEST_CASE("no mutation of a seed does more than give a result") {
  std::mt19937 random(20240229);  // fixed, so that a failing case can be found again
  const auto start = std::chrono::steady_clock::now();
  int read = 0;
  int refused = 0;
  for (const Seed& seed : seeds()) {
    CAPTURE(seed.name);
    for (int i = 0; i < kCasesPerSeed; ++i) {
      const std::string bytes = mutated(seed.bytes, random);
      const auto image = read_stored(std::as_bytes(std::span(bytes)), seed.name,
                                     {.page = 1 + i % 2, .limits = kLimits});
      if (!image) {
        ++refused;
        if (sentence(image.error()).empty()) FAIL("an error without words");
        continue;
      }
      ++read;
      if (image->pixels.empty() || image->pixels.total() > kLimits.max_pixels) FAIL("lying size");
      const auto declared = resolve_declaration(*image, {});
      if (!declared) continue;
      const cv::Mat celsius = ThermalImage(*image, *declared).celsius();
      if (celsius.size() != image->pixels.size()) FAIL("lost pixels");
    }
  }
  CHECK(read + refused == kCasesPerSeed * static_cast<int>(seeds().size()));
  CHECK(read > 100);
  CHECK(refused > 1'000);
  // Generous: a sanitizer and a loaded machine are slow, a runaway case is far slower.
  CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds(60));
}
