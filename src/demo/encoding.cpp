#include "encoding.h"

#include "offered/files/folder.h"
#include "ohmglow/imaging.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <fmt/format.h>

namespace ohmglow::demo {
namespace {

using enum EncodingId;

const Declaration kCentikelvin{0.01, 0, TemperatureUnit::kelvin, ""};
const Declaration kShiftedCelsius{0.01, -100, TemperatureUnit::celsius, ""};
const Declaration kKelvin{1, 0, TemperatureUnit::kelvin, ""};
const Declaration kCelsius{1, 0, TemperatureUnit::celsius, ""};

const std::array kEncodings{
    Encoding{tiff_counts_lzw, ".tif", kCentikelvin, true, DeclaredBy::table},
    Encoding{tiff_counts_json, ".tif", kCentikelvin, true, DeclaredBy::file},
    Encoding{tiff_counts_big_endian, ".tif", kCentikelvin, true, DeclaredBy::file},
    Encoding{tiff_counts_two_pages, ".tif", kCentikelvin, true, DeclaredBy::table, 2},
    Encoding{tiff_counts_undeclared, ".tif", kCentikelvin, true, DeclaredBy::nobody},
    Encoding{tiff_float_kelvin, ".tif", kKelvin, false, DeclaredBy::range},
    Encoding{png_counts_kelvin, ".png", kCentikelvin, true, DeclaredBy::table},
    Encoding{png_counts_celsius, ".png", kShiftedCelsius, true, DeclaredBy::table},
    Encoding{npy_celsius, ".npy", kCelsius, false, DeclaredBy::range},
    Encoding{csv_celsius, ".csv", kCelsius, false, DeclaredBy::range},
    Encoding{fits_celsius, ".fits", kCelsius, false, DeclaredBy::range},
};

template <class T>
void append(std::string& bytes, T value, std::endian order) {
  std::array<char, sizeof(T)> raw;
  std::memcpy(raw.data(), &value, sizeof(T));
  if (order != std::endian::native) std::reverse(raw.begin(), raw.end());
  bytes.append(raw.data(), raw.size());
}

std::string text_of(const std::vector<std::byte>& bytes) {
  std::string text(bytes.size(), '\0');
  std::memcpy(text.data(), bytes.data(), bytes.size());
  return text;
}

/// Space-padded card of a FITS header (FITS standard 4.0, 4.1: 80 characters).
std::string card(std::string_view keyword, std::string_view value) {
  return fmt::format("{:<80}", fmt::format("{:<8}= {:>20}", keyword, value));
}

void pad(std::string& bytes, std::size_t block, char with) {
  bytes.append((block - bytes.size() % block) % block, with);
}

}  // namespace

const Encoding& encoding_of(EncodingId id) {
  return *std::find_if(kEncodings.begin(), kEncodings.end(),
                       [=](const Encoding& encoding) { return encoding.id == id; });
}

cv::Mat to_stored(const cv::Mat& celsius, const Encoding& encoding) {
  const Declaration& d = encoding.declaration;
  const double zero_c = d.unit == TemperatureUnit::kelvin ? kCelsiusZeroInKelvin : 0;
  cv::Mat stored;
  // convertTo rounds counts to the nearest and keeps them within 0 … 65535.
  celsius.convertTo(stored, encoding.integer ? CV_16U : CV_32F, 1 / d.scale,
                    (zero_c - d.offset) / d.scale);
  return stored;
}

std::string npy_bytes(const cv::Mat& pixels) {
  // NumPy Enhancement Proposal 1: magic, version 1.0, header length, a dict padded to 64 bytes.
  std::string header = fmt::format(
      "{{'descr': '<f4', 'fortran_order': False, 'shape': ({}, {}), }}", pixels.rows, pixels.cols);
  constexpr std::size_t kPreamble = 10;
  header.append(63 - (kPreamble + header.size()) % 64, ' ');
  header += '\n';
  std::string bytes("\x93NUMPY\x01\x00", 8);
  append(bytes, static_cast<std::uint16_t>(header.size()), std::endian::little);
  bytes += header;
  for (const float value : cv::Mat_<float>(pixels)) append(bytes, value, std::endian::little);
  return bytes;
}

std::string csv_text(const cv::Mat& pixels) {
  std::string text = fmt::format("width;{}\nheight;{}\n", pixels.cols, pixels.rows);
  for (int y = 0; y < pixels.rows; ++y) {
    std::string line;
    for (int x = 0; x < pixels.cols; ++x) {
      line += fmt::format("{}{:.2f}", x == 0 ? "" : ";", pixels.at<float>(y, x));
    }
    std::replace(line.begin(), line.end(), '.', ',');
    text += line + '\n';
  }
  return text;
}

std::string fits_bytes(const cv::Mat& pixels) {
  // FITS standard 4.0, 3.1 and 5.3: 2880-byte blocks, big-endian IEEE floats, bottom row first.
  constexpr std::size_t kBlock = 2880;
  std::string bytes = card("SIMPLE", "T") + card("BITPIX", "-32") + card("NAXIS", "2") +
                      card("NAXIS1", std::to_string(pixels.cols)) +
                      card("NAXIS2", std::to_string(pixels.rows)) +
                      fmt::format("{:<80}", "BUNIT   = 'deg C   '") + fmt::format("{:<80}", "END");
  pad(bytes, kBlock, ' ');
  for (int y = pixels.rows - 1; y >= 0; --y) {
    for (int x = 0; x < pixels.cols; ++x) append(bytes, pixels.at<float>(y, x), std::endian::big);
  }
  pad(bytes, kBlock, '\0');
  return bytes;
}

Result<void> write_image(const std::filesystem::path& path, const Encoding& encoding,
                         const std::vector<cv::Mat>& pages) {
  if (encoding.ending == ".tif") return write_tiff(path, encoding.id, pages);
  const cv::Mat& pixels = pages.front();
  if (encoding.ending == ".npy") return records::write_atomically(path, npy_bytes(pixels));
  if (encoding.ending == ".csv") return records::write_atomically(path, csv_text(pixels));
  if (encoding.ending == ".fits") return records::write_atomically(path, fits_bytes(pixels));
  const auto png = imaging::encode_png(pixels);
  if (!png) return fail(png.error());
  return records::write_atomically(path, text_of(*png));
}

}  // namespace ohmglow::demo
