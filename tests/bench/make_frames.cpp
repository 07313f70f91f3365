// A survey of synthetic frames for the benchmark: three warm lugs each, three marks each.
//   bench_frames FOLDER COUNT WIDTH HEIGHT raw|deflate|lzw|float

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <random>
#include <string>
#include <tiffio.h>
#include <vector>

namespace {

namespace fs = std::filesystem;

constexpr int kRowsPerStrip = 32;
constexpr double kRadius = 12;
constexpr double kCentres[3][2] = {{0.25, 0.3}, {0.5, 0.5}, {0.75, 0.7}};

/// Background noise is drawn once; drawing it per frame would take longer than the benchmark.
std::vector<float> background(int width, int height) {
  std::mt19937 random(1);
  std::normal_distribution<float> noise(0.0F, 0.05F);
  std::vector<float> celsius(static_cast<std::size_t>(width) * height);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      celsius[static_cast<std::size_t>(y) * width + x] =
          22.0F + 4.0F * static_cast<float>(x) / static_cast<float>(width) + noise(random);
    }
  }
  return celsius;
}

void add_lugs(std::vector<float>& celsius, int width, int height, int frame) {
  for (int k = 0; k < 3; ++k) {
    const double cx = kCentres[k][0] * width;
    const double cy = kCentres[k][1] * height;
    const double rise = 15 + k * 3 + frame % 7;
    for (int y = std::max(0, static_cast<int>(cy) - 60);
         y < std::min(height, static_cast<int>(cy) + 60); ++y) {
      for (int x = std::max(0, static_cast<int>(cx) - 60);
           x < std::min(width, static_cast<int>(cx) + 60); ++x) {
        const double r2 = (x - cx) * (x - cx) + (y - cy) * (y - cy);
        celsius[static_cast<std::size_t>(y) * width + x] +=
            static_cast<float>(rise * std::exp(-r2 / 500));
      }
    }
  }
}

void write(const fs::path& path, const std::vector<float>& celsius, int width, int height,
           const std::string& encoding) {
  const bool real = encoding == "float";
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, width);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, height);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, real ? 32 : 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, real ? SAMPLEFORMAT_IEEEFP : SAMPLEFORMAT_UINT);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, kRowsPerStrip);
  if (encoding == "deflate" || real) {
    TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_ADOBE_DEFLATE);
    TIFFSetField(tiff, TIFFTAG_PREDICTOR, real ? PREDICTOR_FLOATINGPOINT : PREDICTOR_HORIZONTAL);
  } else if (encoding == "lzw") {
    TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_LZW);
  }
  std::vector<std::uint16_t> counts(static_cast<std::size_t>(width));
  std::vector<float> row(static_cast<std::size_t>(width));
  for (int y = 0; y < height; ++y) {
    const float* from = &celsius[static_cast<std::size_t>(y) * width];
    for (int x = 0; x < width; ++x) {
      counts[x] = static_cast<std::uint16_t>(std::lround((from[x] + 273.15) * 100));
      row[x] = from[x];
    }
    TIFFWriteScanline(tiff, real ? static_cast<void*>(row.data()) : counts.data(),
                      static_cast<std::uint32_t>(y), 0);
  }
  TIFFClose(tiff);
}

void write_tables(const fs::path& folder, int count, int width, int height, bool real) {
  std::ofstream motors(folder / "motors.csv");
  std::ofstream images(folder / "images.csv");
  motors << "motor,rated_a\n";
  images << "file,motor,component,emissivity,reflected_c,air_c,scale,offset,unit,load_1_a,load_2_a,"
            "load_3_a\n";
  for (int i = 0; i < count; ++i) {
    motors << fmt::format("M-{:06},100\n", i);
    images << fmt::format("f{:06}.tif,M-{:06},terminal box,0.95,22,22,{},0,{},80,80,80\n", i, i,
                          real ? "1" : "0.01", real ? "c" : "k");
    std::ofstream marks(folder / "marks" / fmt::format("f{:06}.tif.json", i));
    marks << fmt::format(R"({{"version":1,"image":"f{:06}.tif","size":[{},{}],"marks":[)", i, width,
                         height);
    for (int k = 0; k < 3; ++k) {
      marks << fmt::format(
          R"({}{{"name":"T{}","role":"lug","phase":{},"shape":{{"kind":"circle","center":[{},{}],"radius":{}}}}})",
          k == 0 ? "" : ",", k + 1, k + 1, static_cast<int>(kCentres[k][0] * width),
          static_cast<int>(kCentres[k][1] * height), kRadius);
    }
    marks << "]}\n";
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 6) return 2;
  const fs::path folder = argv[1];
  const int count = std::atoi(argv[2]);
  const int width = std::atoi(argv[3]);
  const int height = std::atoi(argv[4]);
  const std::string encoding = argv[5];
  fs::create_directories(folder / "marks");
  const auto empty = background(width, height);
  for (int i = 0; i < count; ++i) {
    auto celsius = empty;
    add_lugs(celsius, width, height, i);
    write(folder / fmt::format("f{:06}.tif", i), celsius, width, height, encoding);
  }
  write_tables(folder, count, width, height, encoding == "float");
  return 0;
}
