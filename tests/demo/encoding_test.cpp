#include "demo/encoding.h"

#include "survey_fixture.h"

#include <array>
#include <map>
#include <set>
#include <sstream>

using namespace ohmglow;
using namespace ohmglow::demo;

namespace {

struct Seen {
  std::string type, width, height, coding, declared_by;
  double off_step = 1;
};

std::map<std::string, Seen> seen_images() {
  std::string printed;
  REQUIRE(run_script("check_encodings.py", full_survey(), &printed) == 0);
  std::map<std::string, Seen> seen;
  std::istringstream in(printed);
  std::string file;
  Seen s;
  while (in >> file >> s.type >> s.width >> s.height >> s.coding >> s.declared_by >> s.off_step) {
    seen[file] = s;
  }
  return seen;
}

struct Expected {
  std::string_view file, type, width, height, coding, declared_by;
};

}  // namespace

TEST_CASE("every encoding is what it claims to be") {
  // Read by tifffile, numpy, astropy (which verifies the FITS headers) and libtiff.
  const std::vector<Expected> rows{
      {"be01_terminal_box.tif", "uint16", "320", "240", "LZW:HORIZONTAL:strip:little:tiff:1",
       "table"},
      {"be02_starter.tif", "float32", "320", "240",
       "ADOBE_DEFLATE:FLOATINGPOINT:strip:little:tiff:1", "none"},
      {"be03_terminal_box.tif", "uint16", "640", "480",
       "ADOBE_DEFLATE:HORIZONTAL:strip:little:tiff:1", "file"},
      {"be04_disconnect.tif", "uint16", "320", "240", "ADOBE_DEFLATE:NONE:tiles:big:bigtiff:1",
       "file"},
      {"cv01_terminal_box.tif", "uint16", "320", "240", "PACKBITS:NONE:strip:little:tiff:2",
       "table"},
      {"cv06_terminal_box_again.tif", "uint16", "320", "240", "LZW:NONE:strip:little:tiff:1",
       "none"},
      {"be04_terminal_box.png", "uint16", "320", "240", "-", "table"},
      {"cv02_starter.png", "uint16", "320", "240", "-", "table"},
      {"be04_starter.npy", "float32", "320", "240", "-", "none"},
      {"cv03_starter.csv", "float64", "160", "120", "-", "none"},
      {"cv03_terminal_box.fits", "float32", "320", "240", "-", "none"},
  };
  const auto seen = seen_images();
  for (const Expected& row : rows) {
    CAPTURE(row.file);
    const auto found = seen.find(fmt::format("route/{}", row.file));
    REQUIRE(found != seen.end());
    const Seen& s = found->second;
    CHECK(s.type == row.type);
    CHECK(s.width == row.width);
    CHECK(s.height == row.height);
    CHECK(s.coding == row.coding);
    CHECK(s.declared_by == row.declared_by);
  }
}

TEST_CASE("counts are whole and text has two decimals") {
  // Integers and the decimal text themselves; 1e-6 of a step is double rounding.
  std::size_t checked = 0;
  for (const auto& [file, s] : seen_images()) {
    if (s.type == "float32") continue;
    CAPTURE(file);
    CHECK(s.off_step < 1e-6);
    ++checked;
  }
  CHECK(checked > 12);
}

TEST_CASE("temperatures are rounded to the nearest count of the declaration") {
  // 0 °C = 273.15 K (SI Brochure, 9th ed., 2.3.1); counts by hand.
  const cv::Mat celsius = (cv::Mat_<double>(1, 3) << 25.004, 25.006, -10.0);
  const cv::Mat_<std::uint16_t> kelvin =
      to_stored(celsius, encoding_of(EncodingId::tiff_counts_lzw));
  CHECK(kelvin(0, 0) == 29815);
  CHECK(kelvin(0, 1) == 29816);
  CHECK(kelvin(0, 2) == 26315);
  const cv::Mat_<std::uint16_t> shifted =
      to_stored(celsius, encoding_of(EncodingId::png_counts_celsius));
  CHECK(shifted(0, 0) == 12500);
  CHECK(shifted(0, 1) == 12501);
  CHECK(shifted(0, 2) == 9000);
}

TEST_CASE("a FITS file is whole blocks and begins as the standard says") {
  // FITS standard 4.0, 3.1 (2880-byte blocks) and 4.4.1 (first cards); values by hand.
  const cv::Mat pixels = (cv::Mat_<float>(2, 2) << 1.F, 2.F, 3.F, 4.F);
  const std::string bytes = fits_bytes(pixels);
  REQUIRE(bytes.size() == 2 * 2880);
  CHECK(bytes.substr(0, 30) == "SIMPLE  =                    T");
  // The bottom row first, big-endian: 3.0F is 0x40400000 in IEEE 754.
  CHECK(bytes.substr(2880, 4) == std::string("\x40\x40\x00\x00", 4));
}
