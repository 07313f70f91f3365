// Every way of storing a TIFF's pixels, decoded here and by libtiff itself. Several decoders are
// the project's own for speed: vectors of differences, sizes beside their width, shared memory.

#include "test_images.h"

#include <catch2/catch.hpp>
#include <cstring>
#include <opencv2/core.hpp>
#include <random>
#include <sstream>
#include <string>
#include <tiffio.h>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::imaging;

namespace {

struct Storage {
  int depth;
  int compression;
  int predictor;
  const char* mode;  ///< "wl": little-endian, "wb": big-endian, "wl8": BigTIFF
  int part_rows;
  int tile_columns;  ///< 0: strips
};

std::string text_of(const Storage& s, cv::Size size) {
  std::ostringstream text;
  text << "depth " << s.depth << " compression " << s.compression << " predictor " << s.predictor
       << ' ' << s.mode << " part " << s.tile_columns << " x " << s.part_rows << " of "
       << size.width << " x " << size.height;
  return text.str();
}

/// Smooth with noise, as temperatures are, and every kind of byte in it.
cv::Mat scene(cv::Size size, int depth, std::mt19937& random) {
  cv::Mat pixels(size, depth);
  std::uniform_int_distribution<int> noise(0, 300);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const double value = 29'000 + 40 * x - 13 * y + noise(random);
      switch (depth) {
        case CV_8U:
          pixels.at<std::uint8_t>(y, x) = static_cast<std::uint8_t>(noise(random));
          break;
        case CV_16U:
          pixels.at<std::uint16_t>(y, x) = static_cast<std::uint16_t>(2 * value);
          break;
        case CV_16S:
          pixels.at<std::int16_t>(y, x) = static_cast<std::int16_t>(value - 29'500);
          break;
        case CV_32S:
          pixels.at<std::int32_t>(y, x) = static_cast<std::int32_t>(-70'000 * value);
          break;
        case CV_32F:
          pixels.at<float>(y, x) = static_cast<float>(value / 977 - 5);
          break;
        default:
          pixels.at<double>(y, x) = value / 977 - 5;
      }
    }
  }
  return pixels;
}

void write(const std::string& path, const Storage& s, const cv::Mat& pixels) {
  TIFF* const tiff = TIFFOpen(path.c_str(), s.mode);
  REQUIRE(tiff != nullptr);
  const bool is_float = s.depth == CV_32F || s.depth == CV_64F;
  const bool is_signed = s.depth == CV_16S || s.depth == CV_32S;
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, pixels.cols);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, pixels.rows);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, static_cast<int>(8 * pixels.elemSize()));
  TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT,
               is_float    ? SAMPLEFORMAT_IEEEFP
               : is_signed ? SAMPLEFORMAT_INT
                           : SAMPLEFORMAT_UINT);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, s.compression);
  if (s.predictor != PREDICTOR_NONE) TIFFSetField(tiff, TIFFTAG_PREDICTOR, s.predictor);
  if (s.tile_columns == 0) {
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, s.part_rows);
    cv::Mat row;  // the codec turns its bytes around
    for (int y = 0; y < pixels.rows; ++y) {
      pixels.row(y).copyTo(row);
      REQUIRE(TIFFWriteScanline(tiff, row.data, static_cast<std::uint32_t>(y), 0) == 1);
    }
  } else {
    TIFFSetField(tiff, TIFFTAG_TILEWIDTH, s.tile_columns);
    TIFFSetField(tiff, TIFFTAG_TILELENGTH, s.part_rows);
    for (int y = 0; y < pixels.rows; y += s.part_rows) {
      for (int x = 0; x < pixels.cols; x += s.tile_columns) {
        cv::Mat tile = cv::Mat::zeros(s.part_rows, s.tile_columns, pixels.type());
        const cv::Rect there =
            cv::Rect(x, y, tile.cols, tile.rows) & cv::Rect({0, 0}, pixels.size());
        pixels(there).copyTo(tile(cv::Rect({0, 0}, there.size())));
        REQUIRE(TIFFWriteTile(tiff, tile.data, static_cast<std::uint32_t>(x),
                              static_cast<std::uint32_t>(y), 0, 0) > 0);
      }
    }
  }
  TIFFClose(tiff);
}

/// What libtiff makes of the file.
cv::Mat by_libtiff(const std::string& path, cv::Size size, int depth) {
  TIFF* const tiff = TIFFOpen(path.c_str(), "r");
  REQUIRE(tiff != nullptr);
  cv::Mat pixels(size, depth);
  if (TIFFIsTiled(tiff) == 0) {
    for (int y = 0; y < size.height; ++y) {
      REQUIRE(TIFFReadScanline(tiff, pixels.ptr(y), static_cast<std::uint32_t>(y), 0) == 1);
    }
  } else {
    std::uint32_t columns = 0;
    std::uint32_t rows = 0;
    TIFFGetField(tiff, TIFFTAG_TILEWIDTH, &columns);
    TIFFGetField(tiff, TIFFTAG_TILELENGTH, &rows);
    cv::Mat tile(static_cast<int>(rows), static_cast<int>(columns), depth);
    for (int y = 0; y < size.height; y += tile.rows) {
      for (int x = 0; x < size.width; x += tile.cols) {
        REQUIRE(TIFFReadTile(tiff, tile.data, static_cast<std::uint32_t>(x),
                             static_cast<std::uint32_t>(y), 0, 0) > 0);
        const cv::Rect there = cv::Rect(x, y, tile.cols, tile.rows) & cv::Rect({0, 0}, size);
        tile(cv::Rect({0, 0}, there.size())).copyTo(pixels(there));
      }
    }
  }
  TIFFClose(tiff);
  return pixels;
}

bool same_bytes(const cv::Mat& a, const cv::Mat& b) {
  if (a.size() != b.size() || a.type() != b.type()) return false;
  for (int y = 0; y < a.rows; ++y) {
    if (std::memcmp(a.ptr(y), b.ptr(y), static_cast<std::size_t>(a.cols) * a.elemSize()) != 0)
      return false;
  }
  return true;
}

/// Bytes of 0 to `kinds` - 1, each run of them up to `longest` long.
cv::Mat runs(cv::Size size, int kinds, int longest, std::mt19937& random) {
  cv::Mat pixels(size, CV_8U);
  std::uniform_int_distribution<int> kind(0, kinds - 1);
  std::uniform_int_distribution<int> length(1, longest);
  auto* const all = pixels.ptr<std::uint8_t>();
  for (std::size_t at = 0; at < pixels.total();) {
    const int value = kind(random);
    for (int left = length(random); left > 0 && at < pixels.total(); --left) {
      all[at++] = static_cast<std::uint8_t>(value);
    }
  }
  return pixels;
}

std::vector<Storage> storages() {
  std::vector<Storage> all;
  for (const int depth : {CV_8U, CV_16U, CV_16S, CV_32S, CV_32F, CV_64F}) {
    for (const int compression : {COMPRESSION_NONE, COMPRESSION_LZW, COMPRESSION_ADOBE_DEFLATE,
                                  COMPRESSION_PACKBITS, COMPRESSION_ZSTD}) {
      const bool knows_predictor =
          compression != COMPRESSION_NONE && compression != COMPRESSION_PACKBITS;
      const bool is_float = depth == CV_32F || depth == CV_64F;
      for (const int predictor : {PREDICTOR_NONE, PREDICTOR_HORIZONTAL, PREDICTOR_FLOATINGPOINT}) {
        if (predictor != PREDICTOR_NONE && !knows_predictor) continue;
        if (predictor == PREDICTOR_FLOATINGPOINT && !is_float) continue;
        for (const char* mode : {"wl", "wb", "wl8"}) {
          all.push_back({depth, compression, predictor, mode, 7, 0});
          all.push_back({depth, compression, predictor, mode, 16, 32});
        }
      }
    }
  }
  return all;
}

}  // namespace

TEST_CASE(
    "every storage of a TIFF decodes as libtiff decodes it, with memory of its own and kept") {
  // Source: libtiff, which wrote the files and reads them again.
  const std::string path = (test_output() / "codec.tif").string();
  std::mt19937 random(11);
  ReadMemory memory;  // kept over all of them, whatever their size
  std::size_t in_place = 0;
  for (const Storage& storage : storages()) {
    // Widths on both sides of a vector of 16 bytes.
    for (const cv::Size size :
         {cv::Size(1, 9), cv::Size(15, 3), cv::Size(64, 14), cv::Size(131, 23)}) {
      CAPTURE(text_of(storage, size));
      const cv::Mat pixels = scene(size, storage.depth, random);
      write(path, storage, pixels);
      const cv::Mat expected = by_libtiff(path, size, storage.depth);
      // libtiff 4.5 writes big-endian floats of predictor 3 in another way than it reads them.
      const bool turned = storage.predictor == PREDICTOR_FLOATINGPOINT && storage.mode[1] == 'b';
      REQUIRE((turned || same_bytes(expected, pixels)));
      const auto alone = read_file(path);
      INFO(why(alone));
      REQUIRE(alone);
      CHECK(same_bytes(alone->pixels, expected));
      const auto bytes = read_bytes(path, std::uint64_t{1} << 20, memory);
      REQUIRE(bytes);
      const auto kept = read_stored(*bytes, "codec.tif", {.memory = &memory});
      REQUIRE(kept);
      CHECK(same_bytes(kept->pixels, expected));
      const auto* const first = reinterpret_cast<const std::byte*>(kept->pixels.data);
      in_place += first >= bytes->data() && first < bytes->data() + bytes->size() ? 1U : 0U;
    }
  }
  CHECK(in_place > 0);  // the shortcut was taken, by what is stored as this machine holds it
}

TEST_CASE("strings of every length and full tables of strings decode as libtiff decodes them") {
  // Source: libtiff, which wrote the files and reads them again. LZW's strings grow with the runs,
  // and its table is full many times over in the strips of noise.
  const std::string path = (test_output() / "runs.tif").string();
  std::mt19937 random(3);
  for (const int compression : {COMPRESSION_LZW, COMPRESSION_ADOBE_DEFLATE}) {
    for (const int kinds : {1, 2, 3, 17, 256}) {
      for (const int longest : {1, 3, 9, 200}) {
        for (const cv::Size size : {cv::Size(5, 3), cv::Size(301, 130)}) {
          CAPTURE(compression, kinds, longest, size.width);
          const cv::Mat pixels = runs(size, kinds, longest, random);
          write(path, {CV_8U, compression, PREDICTOR_NONE, "wl", size.height, 0}, pixels);
          REQUIRE(same_bytes(by_libtiff(path, size, CV_8U), pixels));
          const auto read = read_file(path);
          INFO(why(read));
          REQUIRE(read);
          CHECK(same_bytes(read->pixels, pixels));
        }
      }
    }
  }
}

TEST_CASE("a cut or lying file fails in the same words whether or not its memory is kept") {
  // By construction: the same bytes, read in the two ways.
  const std::string path = (test_output() / "cut.tif").string();
  std::mt19937 random(5);
  for (const int compression : {COMPRESSION_NONE, COMPRESSION_LZW, COMPRESSION_ADOBE_DEFLATE}) {
    const Storage storage{CV_16U, compression, PREDICTOR_NONE, "wl", 7, 0};
    write(path, storage, scene({33, 20}, CV_16U, random));
    const auto whole = read_bytes(path, 1 << 20);
    REQUIRE(whole);
    ReadMemory memory;
    const auto same = [&](const std::vector<std::byte>& bytes) {
      const auto alone = read_stored(bytes, "cut.tif");
      const auto kept = read_stored(bytes, "cut.tif", {.memory = &memory});
      REQUIRE(alone.has_value() == kept.has_value());
      if (!alone) CHECK(why(alone) == why(kept));
      if (alone) CHECK(same_bytes(alone->pixels, kept->pixels));
      return alone.has_value();
    };
    for (std::size_t length = 8; length < whole->size(); length += 3) {
      CAPTURE(compression, length);
      CHECK_FALSE(same({whole->begin(), whole->begin() + static_cast<std::ptrdiff_t>(length)}));
    }
    // Every byte of the directory and the lists behind the pixels, damaged.
    for (std::size_t at = 4; at < whole->size(); ++at) {
      if (at > 8 && at + 300 < whole->size()) continue;
      auto bytes = *whole;
      bytes[at] ^= std::byte{0x15};
      CAPTURE(compression, at);
      same(bytes);
    }
  }
}
