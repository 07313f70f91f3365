// The floors under a folder of TIFF frames.
//   bench_floor read FOLDER THREADS     every file is read into a reused buffer
//   bench_floor hash FOLDER THREADS     and hashed (SHA-256 by nettle, which ohmglow uses)
//   bench_floor decode FOLDER THREADS   libtiff decodes every strip into a reused buffer
//   bench_floor job FOLDER THREADS      and the plain job is done: least, greatest and mean of the
//                                       frame, three circles corrected and measured

#include "frame_folder.h"
#include "plain_job.h"
#include "whole_file.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <map>
#include <nettle/sha2.h>
#include <string>
#include <tiffio.h>
#include <vector>

namespace {

struct Worker {
  std::vector<unsigned char> file;
  std::vector<unsigned char> pixels;
  std::vector<float> region;
};

struct Frame {
  int width = 0;
  int height = 0;
  bool real = false;  ///< float32 °C, else uint16 counts of 10 mK
};

double read_file(const std::string& path, Worker& worker) {
  return static_cast<double>(bench::read_whole(path, worker.file));
}

double hash_file(const std::string& path, Worker& worker) {
  const std::size_t size = bench::read_whole(path, worker.file);
  sha256_ctx context{};
  sha256_init(&context);
  sha256_update(&context, size, worker.file.data());
  unsigned char digest[SHA256_DIGEST_SIZE];
  sha256_digest(&context, sizeof digest, digest);
  return digest[0];
}

Frame decode(const std::string& path, std::vector<unsigned char>& pixels) {
  TIFF* tiff = TIFFOpen(path.c_str(), "rm");
  if (tiff == nullptr) bench::give_up("cannot open " + path);
  std::uint32_t width = 0;
  std::uint32_t height = 0;
  std::uint16_t format = SAMPLEFORMAT_UINT;
  TIFFGetField(tiff, TIFFTAG_IMAGEWIDTH, &width);
  TIFFGetField(tiff, TIFFTAG_IMAGELENGTH, &height);
  TIFFGetFieldDefaulted(tiff, TIFFTAG_SAMPLEFORMAT, &format);
  const auto size = static_cast<std::size_t>(TIFFScanlineSize(tiff)) * height;
  if (pixels.size() < size) pixels.resize(size);
  std::size_t done = 0;
  for (std::uint32_t strip = 0; strip < TIFFNumberOfStrips(tiff); ++strip) {
    const tmsize_t got =
        TIFFReadEncodedStrip(tiff, strip, pixels.data() + done, static_cast<tmsize_t>(size - done));
    if (got < 0) bench::give_up("cannot decode " + path);
    done += static_cast<std::size_t>(got);
  }
  TIFFClose(tiff);
  return {static_cast<int>(width), static_cast<int>(height), format == SAMPLEFORMAT_IEEEFP};
}

double decode_only(const std::string& path, Worker& worker) {
  const Frame frame = decode(path, worker.pixels);
  return frame.width + worker.pixels[0];
}

/// Least + greatest + mean. Each row is summed apart: its sum fits the narrow type, which lets the
/// compiler keep whole vectors of it.
template <class Sum, class T>
double least_greatest_mean(const T* pixels, const Frame& frame) {
  T least = pixels[0];
  T greatest = pixels[0];
  double sum = 0;
  for (int y = 0; y < frame.height; ++y) {
    const T* row = pixels + static_cast<std::size_t>(y) * frame.width;
    Sum lanes[8] = {};
    T low[8];
    T high[8];
    std::fill_n(low, 8, least);
    std::fill_n(high, 8, greatest);
    int x = 0;
    for (; x + 8 <= frame.width; x += 8) {
      for (int lane = 0; lane < 8; ++lane) {
        const T value = row[x + lane];
        low[lane] = value < low[lane] ? value : low[lane];
        high[lane] = value > high[lane] ? value : high[lane];
        lanes[lane] += value;
      }
    }
    for (; x < frame.width; ++x) {
      low[0] = std::min(low[0], row[x]);
      high[0] = std::max(high[0], row[x]);
      lanes[0] += row[x];
    }
    for (int lane = 0; lane < 8; ++lane) {
      least = std::min(least, low[lane]);
      greatest = std::max(greatest, high[lane]);
      sum += static_cast<double>(lanes[lane]);
    }
  }
  return static_cast<double>(least) + static_cast<double>(greatest) +
         sum / (static_cast<double>(frame.width) * frame.height);
}

const std::vector<float>& object_c_of_count() {
  static const std::vector<float> table = [] {
    std::vector<float> values(65536);
    for (int count = 0; count < 65536; ++count) {
      values[count] = bench::object_c(count * bench::kKelvinPerCount);
    }
    return values;
  }();
  return table;
}

double whole_job(const std::string& path, Worker& worker) {
  const Frame frame = decode(path, worker.pixels);
  const auto at = [&](int x, int y) { return static_cast<std::size_t>(y) * frame.width + x; };
  if (frame.real) {
    const auto* pixels = reinterpret_cast<const float*>(worker.pixels.data());
    const auto pixel_c = [&](int x, int y) {
      return bench::object_c(pixels[at(x, y)] + bench::kZeroCelsiusK);
    };
    return least_greatest_mean<float>(pixels, frame) +
           bench::three_regions(frame.width, frame.height, pixel_c, worker.region);
  }
  const auto* pixels = reinterpret_cast<const std::uint16_t*>(worker.pixels.data());
  const auto& table = object_c_of_count();
  const auto pixel_c = [&](int x, int y) { return table[pixels[at(x, y)]]; };
  return least_greatest_mean<std::uint32_t>(pixels, frame) * bench::kKelvinPerCount +
         bench::three_regions(frame.width, frame.height, pixel_c, worker.region);
}

}  // namespace

int main(int argc, char** argv) {
  const std::map<std::string, double (*)(const std::string&, Worker&)> jobs{
      {"read", read_file}, {"hash", hash_file}, {"decode", decode_only}, {"job", whole_job}};
  if (argc != 4 || !jobs.contains(argv[1])) {
    bench::give_up("usage: bench_floor read|hash|decode|job FOLDER THREADS");
  }
  bench::run_over_frames<Worker>(argv[2], std::atoi(argv[3]), jobs.at(argv[1]));
  return 0;
}
