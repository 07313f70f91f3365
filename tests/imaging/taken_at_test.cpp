// When a picture was taken, and whether its range cut it off. Independent writers: tifffile,
// astropy and libjpeg's Exif written by hand (Exif 2.32, 4.5 and 4.6).
#include "offered/imaging/taken_at.h"

#include "../python.h"
#include "offered/imaging/clipping.h"

#include <catch2/catch.hpp>
#include <opencv2/core.hpp>
#include <sstream>

using namespace ohmglow;

namespace {

std::string written_by_python(const std::string& name, const std::string& script) {
  const std::string path = output_path("taken-at-" + name);
  static_cast<void>(words_from_python("taken-at-" + name, "path = '" + path + "'\n" + script));
  std::ifstream in(path, std::ios::binary);
  std::ostringstream bytes;
  bytes << in.rdbuf();
  return bytes.str();
}

std::string moment_of(const std::string& bytes) {
  const auto moment = imaging::taken_at(std::as_bytes(std::span(bytes.data(), bytes.size())));
  return moment ? moment->text : "";
}

const char* const kExif = R"(
import struct
def exif(tags):
    # IFD0 with one pointer to the Exif part, which holds DateTimeOriginal.
    text = b'2026:03:04 09:15:30\0'
    ifd = struct.pack('<H', 1) + struct.pack('<HHII', 0x8769, 4, 1, 26) + struct.pack('<I', 0)
    part = struct.pack('<H', 1) + struct.pack('<HHII', 0x9003, 2, 20, 44) + struct.pack('<I', 0)
    return b'II*\0' + struct.pack('<I', 8) + ifd + part + text
block = b'Exif\0\0' + exif(None)
jpeg = b'\xff\xd8\xff\xe0\0\4ab\xff\xe1' + struct.pack('>H', len(block) + 2) + block + b'\xff\xda'
open(path, 'wb').write(jpeg)
)";

}  // namespace

TEST_CASE("an image's own time is that of TIFF, FITS or Exif") {
  CHECK(moment_of(written_by_python("tiff", R"(
import numpy, tifffile
tifffile.imwrite(path, numpy.zeros((4, 5), 'uint16'), datetime='2026:03:04 09:15:30')
)")) == "2026-03-04T09:15:30");
  CHECK(moment_of(written_by_python("fits", R"(
import numpy
from astropy.io import fits
image = fits.PrimaryHDU(numpy.zeros((4, 5), 'int16'))
image.header['DATE-OBS'] = '2026-03-04T09:15:30.25'
image.writeto(path, overwrite=True)
)")) == "2026-03-04T09:15:30");
  CHECK(moment_of(written_by_python("jpeg", kExif)) == "2026-03-04T09:15:30");
}

TEST_CASE("a file that says no moment has none, and a cut one does not crash") {
  CHECK(moment_of("").empty());
  CHECK(moment_of("II*\0").empty());
  CHECK(moment_of(written_by_python("no-moment", R"(
import numpy, tifffile
tifffile.imwrite(path, numpy.zeros((4, 5), 'uint16'), datetime='0000:00:00 00:00:00')
)"))
            .empty());
  const std::string jpeg = written_by_python("jpeg", kExif);
  for (std::size_t i = 0; i < jpeg.size(); ++i) {
    const std::string cut = moment_of(jpeg.substr(0, i));
    CHECK((cut.empty() || cut == "2026-03-04T09:15:30"));
  }
}

TEST_CASE("a range that cut off what is hot or cold is told from noise and from a flat scene") {
  // Source: the definition in the header.
  cv::RNG random(1);
  cv::Mat scene(120, 160, CV_32F);
  random.fill(scene, cv::RNG::NORMAL, 5000, 40);
  cv::Mat stored;
  scene.convertTo(stored, CV_16U);
  CHECK_FALSE(imaging::clipping(stored).at_most);
  CHECK_FALSE(imaging::clipping(stored).at_least);

  cv::Mat cut = stored.clone();
  cut.setTo(5060, stored > 5060);
  const auto high = imaging::clipping(cut);
  REQUIRE(high.at_most);
  CHECK(high.at_most->stored == 5060);
  CHECK(high.at_most->pixels == cv::countNonZero(cut == 5060));
  CHECK_FALSE(high.at_least);

  cut.setTo(4940, stored < 4940);
  REQUIRE(imaging::clipping(cut).at_least);
  CHECK(imaging::clipping(cut).at_least->stored == 4940);

  // One number alone, and a small warm square without noise, are no cut.
  CHECK_FALSE(imaging::clipping(cv::Mat(50, 50, CV_32F, cv::Scalar(20))).at_most);
  cv::Mat square(50, 50, CV_32F, cv::Scalar(20));
  square(cv::Rect(10, 10, 8, 8)).setTo(45);
  CHECK_FALSE(imaging::clipping(square).at_most);
}
