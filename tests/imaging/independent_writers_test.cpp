// Source: images written at test time by tifffile, libtiff's tiffcp, numpy and astropy, and PNG
// files by a few lines over zlib (write_images.py); the same script writes what must be read from
// them.

#include "test_images.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>
#include <thread>

using namespace ohmglow;
using namespace ohmglow::imaging;

namespace {

const std::filesystem::path& written_images() {
  static const std::filesystem::path folder = [] {
    const auto path = test_output() / "written";
    std::filesystem::remove_all(path);  // of an earlier run
    const std::string command = OHMGLOW_PYTHON " '" OHMGLOW_SOURCE_DIR
                                               "/tests/imaging/write_images.py' '" +
                                path.string() + "' > /dev/null";
    if (std::system(command.c_str()) != 0) {
      throw std::runtime_error("the images for this test could not be written: " + command);
    }
    return path;
  }();
  return folder;
}

nlohmann::json expectations() {
  std::ifstream in(written_images() / "expected.json");
  return nlohmann::json::parse(in);
}

/// The pixels that the independent writer put in, as a matrix of the type that was read.
cv::Mat expected_pixels(const nlohmann::json& expected, const cv::Mat& like) {
  const auto raw = read_bytes(written_images() / expected["raw"].get<std::string>(), 1 << 20);
  REQUIRE(raw);
  REQUIRE(raw->size() == like.total() * like.elemSize());
  cv::Mat pixels(like.rows, like.cols, like.type());
  std::memcpy(pixels.data, raw->data(), raw->size());
  return pixels;
}

/// Largest difference; pixels that are no number on both sides agree, on one side only they do not.
double largest_difference(const cv::Mat& a, const cv::Mat& b) {
  if (cv::countNonZero((a == a) != (b == b)) != 0) return INFINITY;
  cv::Mat difference;
  cv::absdiff(a, b, difference);
  difference.setTo(0, a != a);
  double largest = 0;
  cv::minMaxLoc(difference, nullptr, &largest);
  return largest;
}

void check_declaration(const StoredImage& image, const nlohmann::json& expected) {
  REQUIRE(image.embedded.has_value() == !expected.is_null());
  if (expected.is_null()) return;
  const auto number = [&](const char* name) {
    return expected[name].is_null() ? std::nullopt : std::optional(expected[name].get<double>());
  };
  CHECK(image.embedded->scale == number("scale"));
  CHECK(image.embedded->offset == number("offset"));
  const auto unit = image.embedded->unit;
  CHECK(unit.has_value() == !expected["unit"].is_null());
  if (unit) CHECK((*unit == TemperatureUnit::kelvin) == (expected["unit"] == "k"));
  CHECK(image.embedded->from == expected["from"]);
}

}  // namespace

TEST_CASE("images of independent writers are read bit by bit, in every encoding") {
  const auto all = expectations();
  CHECK(all.size() > 500);
  for (const auto& expected : all) {
    const auto file = expected["file"].get<std::string>();
    const int page = expected["page"];
    CAPTURE(file, page);
    const auto image = read_file(written_images() / file, page);
    INFO(why(image));
    REQUIRE(image);
    CHECK(image->dtype == expected["dtype"]);
    CHECK(image->pages == expected["pages"]);
    REQUIRE(image->pixels.cols == expected["width"]);
    REQUIRE(image->pixels.rows == expected["height"]);
    const cv::Mat wanted = expected_pixels(expected, image->pixels);
    if (const double tolerance = expected["tolerance"]; tolerance > 0 || image->dtype == "text") {
      CHECK(largest_difference(image->pixels, wanted) <= tolerance);
    } else {
      CHECK(std::memcmp(image->pixels.data, wanted.data, wanted.total() * wanted.elemSize()) == 0);
    }
    check_declaration(*image, expected["declared"]);
  }
}

TEST_CASE("a page that is not there is named with those that are") {
  const auto image = read_file(written_images() / "stack.tif", 4);
  REQUIRE_FALSE(image);
  CHECK(image.error().kind == ErrorKind::invalid_value);
  CHECK(sentence(image.error()) ==
        "there is no such page: found \"4\", expected 1 to 3; correct the page");
  for (const char* file : {"u2.png", "plain.csv", "u2.fits", "u2_le_C_v1.npy", "cube.fits"}) {
    CAPTURE(file);
    CHECK(read_file(written_images() / file, 3).error().kind == ErrorKind::invalid_value);
    CHECK(read_file(written_images() / file, 0).error().kind == ErrorKind::invalid_value);
    CHECK(read_file(written_images() / file, -1).error().kind == ErrorKind::invalid_value);
  }
}

TEST_CASE("the limits hold before anything is decoded") {
  // Source: the images are 37 x 29 pixels.
  for (const char* file : {"u2_le_classic_strip7_raw.tif", "u2_le_classic_tile_zlib.tif",
                           "u2_le_C_v1.npy", "u2.png", "u2.fits", "u2_tiffcp_lzw2-s-L.tif"}) {
    CAPTURE(file);
    CHECK(read_file(written_images() / file, 1, {.max_pixels = 37 * 29 - 1}).error().kind ==
          ErrorKind::too_large);
    CHECK(read_file(written_images() / file, 1, {.max_bytes = 37 * 29}).error().kind ==
          ErrorKind::too_large);
  }
  CHECK(read_file(written_images() / "plain.csv", 1, {.max_pixels = 12 * 9 - 1}).error().kind ==
        ErrorKind::too_large);
}

TEST_CASE("a file under another format's name is read as what it is") {
  for (const char* file : {"u2_le_classic_strip7_raw.tif", "u2.png", "u2.fits", "u2_le_C_v1.npy"}) {
    CAPTURE(file);
    const auto bytes = read_bytes(written_images() / file, 1 << 20);
    REQUIRE(bytes);
    CHECK(read_stored(*bytes, "scene.csv"));
    CHECK(read_stored(*bytes, "scene.npy"));
    CHECK(read_stored(*bytes, "scene"));
  }
}

TEST_CASE("images are read on many threads at once") {
  // Source: the same files read one after the other.
  const std::array<std::string, 5> files{"u2.fits", "f4_tiffcp_zip3-t-L.tif", "u2.png",
                                         "u2_tiffcp_zstd2-s-L.tif", "f4.fits"};
  std::vector<Result<StoredImage>> alone;
  for (const std::string& file : files) alone.push_back(read_file(written_images() / file));
  std::atomic<int> wrong = 0;
  std::vector<std::thread> threads;
  for (int t = 0; t < 4; ++t) {
    threads.emplace_back([&] {
      for (std::size_t i = 0; i < 200; ++i) {
        const auto& expected = alone.at(i % files.size());
        const auto image = read_file(written_images() / files.at(i % files.size()));
        const std::size_t bytes = expected->pixels.total() * expected->pixels.elemSize();
        if (!image || std::memcmp(image->pixels.data, expected->pixels.data, bytes) != 0) ++wrong;
      }
    });
  }
  for (std::thread& thread : threads) thread.join();
  CHECK(wrong == 0);
}

TEST_CASE("every image that is cut short is damaged") {
  // Source: the files of write_images.py without their last tenth.
  for (const char* file :
       {"u2_le_classic_strip7_raw.tif", "u2_be_big_tile_zlib.tif", "u2_tiffcp_lzw2-s-L.tif",
        "f4_tiffcp_zip3-t-L.tif", "f8_be_predictor3.tif", "u2_tiffcp_packbits-s-L.tif",
        "u2_tiffcp_zstd2-t-L.tif", "u2.png", "u2_interlaced.png", "u2_le_C_v1.npy",
        "u2_be_F_stack.npy", "u2.fits"}) {
    CAPTURE(file);
    auto bytes = read_bytes(written_images() / file, 1 << 20);
    REQUIRE(bytes);
    for (const std::size_t keep : {bytes->size() * 9 / 10, bytes->size() / 2, std::size_t{100}}) {
      // FITS files are padded to blocks of 2880 bytes; less than a block of padding is no loss.
      if (std::string_view(file).ends_with(".fits") && keep > 2880 + 37 * 29 * 2) continue;
      const auto image = read_stored(std::span(*bytes).first(keep), file);
      INFO(keep << ": " << why(image));
      REQUIRE_FALSE(image);
      CHECK((image.error().kind == ErrorKind::damaged));
    }
  }
}
