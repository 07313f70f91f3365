// Source of all figures: index.csv of the folder of real images, written by independent decoders
// (numpy over tifffile, GDAL, astropy) over the stored pixels, to six significant digits.

#include "offered/tabular/tabular.h"
#include "test_images.h"

#include <catch2/catch.hpp>
#include <opencv2/core.hpp>

using namespace ohmglow;
using namespace ohmglow::imaging;

namespace {

// The figures are rounded to six significant digits: half a unit of the last one.
constexpr double kSixDigits = 5.001e-6;

const std::filesystem::path kFolder = OHMGLOW_REAL_DATA;

struct Expected {
  std::string file;
  int page = 1;
  int width = 0;
  int height = 0;
  std::string dtype;
  double min = 0;
  double max = 0;
  double mean = 0;
};

std::vector<Expected> decoded_by_others() {
  const auto bytes = read_bytes(kFolder / "index.csv", 1 << 20);
  REQUIRE(bytes);
  const auto table =
      tabular::parse_table({reinterpret_cast<const char*>(bytes->data()), bytes->size()});
  REQUIRE(table);
  std::vector<Expected> rows;
  for (std::size_t i = 1; i < table->rows.size(); ++i) {
    const auto& cells = table->rows[i].cells;
    REQUIRE(cells.size() == 9);
    Expected row{.file = cells[0],
                 .width = std::stoi(cells[1]),
                 .height = std::stoi(cells[2]),
                 .dtype = cells[3],
                 .min = std::stod(cells[6]),
                 .max = std::stod(cells[7]),
                 .mean = std::stod(cells[8])};
    if (const auto hash = row.file.find('#'); hash != std::string::npos) {
      row.page = std::stoi(row.file.substr(hash + 1)) + 1;
      row.file.resize(hash);
    }
    rows.push_back(row);
  }
  return rows;
}

cv::Mat pixels_of(const char* file) {
  const auto image = read_file(kFolder / file);
  REQUIRE(image);
  return image->pixels;
}

}  // namespace

TEST_CASE("every real image has the size, type and figures of an independent decoder", "[real]") {
  const auto rows = decoded_by_others();
  CHECK(rows.size() >= 29);
  for (const Expected& row : rows) {
    CAPTURE(row.file, row.page);
    const auto image = read_file(kFolder / row.file, row.page);
    INFO(why(image));
    REQUIRE(image);
    CHECK(image->pixels.cols == row.width);
    CHECK(image->pixels.rows == row.height);
    CHECK(image->dtype == row.dtype);
    const Statistics s = statistics(image->pixels);
    CHECK(s.min == Approx(row.min).epsilon(kSixDigits).margin(0));
    CHECK(s.max == Approx(row.max).epsilon(kSixDigits).margin(0));
    CHECK(s.mean == Approx(row.mean).epsilon(kSixDigits).margin(0));
    CHECK(s.no_data == 0);
  }
}

TEST_CASE("one real frame is the same in each of its encodings", "[real]") {
  // Source: the folder says that these are lossless re-encodings of one another.
  const cv::Mat window = pixels_of("reencoded/u16_320x256.npy");
  for (const char* file :
       {"reencoded/u16_320x256_bigendian.npy", "reencoded/u16_320x256.fits",
        "reencoded/u16_bigendian.tif", "reencoded/u16_bigtiff_tiled_deflate_pred2.tif",
        "reencoded/u16_lzw_pred2.tif", "reencoded/u16_packbits_strip7.tif"}) {
    CAPTURE(file);
    CHECK(cv::countNonZero(pixels_of(file) != window) == 0);
  }
  const cv::Mat frame = pixels_of("heritage_walls_tiff16/wall_35_11-22-20-901-radiometric.tiff");
  CHECK(cv::countNonZero(frame(cv::Rect(240, 0, 320, 256)) != window) == 0);
  CHECK(cv::countNonZero(pixels_of("reencoded/u16_640x512.png") != frame) == 0);
  CHECK(cv::countNonZero(pixels_of("reencoded/u16_2pages_deflate.tif") != frame) == 0);

  const cv::Mat surface = pixels_of("surface_temp_float32/ExampleImage_Trad_pm.tif");
  for (const char* file : {"reencoded/f32_K.fits", "reencoded/f32_K_fortran.npy",
                           "reencoded/f32_K_tiled_deflate_pred3.tif"}) {
    CAPTURE(file);
    CHECK(cv::countNonZero(pixels_of(file) != surface) == 0);
  }
}

TEST_CASE("real images mean what their sources say they mean", "[real]") {
  // Source: the column units of index.csv.
  const auto declared = [](const char* file) {
    const auto image = read_file(kFolder / file);
    REQUIRE(image);
    return resolve_declaration(*image, {});
  };
  CHECK(declared("reencoded/f32_C.tif")->unit == TemperatureUnit::celsius);
  CHECK(declared("reencoded/f32_K.fits")->unit == TemperatureUnit::kelvin);
  CHECK(declared("aerial_csv/Ellesmere_flight01_000163.csv")->unit == TemperatureUnit::celsius);
  CHECK(declared("thermopile_32x32/frames3.npy")->unit == TemperatureUnit::celsius);
  const auto counts = declared("reencoded/u16_320x256.fits");
  REQUIRE_FALSE(counts);
  CHECK(counts.error().kind == ErrorKind::undeclared);
}
