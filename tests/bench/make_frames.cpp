// A survey of synthetic frames for the benchmark: three images a motor, three marks an image.
//   bench_frames FOLDER COUNT WIDTH HEIGHT raw|deflate|lzw|float route|hot [THREADS]
// route: one frame in twenty holds a hot lug, in all others the lugs are even and near the air, as
// most are on a real route. hot: every frame holds findings.

#include "frame_folder.h"
#include "plain_job.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <random>
#include <string>
#include <thread>
#include <tiffio.h>
#include <vector>

namespace {

namespace fs = std::filesystem;

constexpr int kRowsPerStrip = 32;
constexpr int kHotEvery = 20;
constexpr int kImagesPerMotor = 3;
constexpr std::array kComponents{"terminal box", "starter load side", "disconnect"};
constexpr std::size_t kNoisePool = std::size_t{1} << 22;
constexpr float kNoiseK = 0.05F;
constexpr float kColumnPatternK = 0.01F;
constexpr double kLugEdgePx = 16;
constexpr double kLugEdgeSoftnessPx = 1.2;

struct Survey {
  fs::path folder;
  int count = 0;
  int width = 0;
  int height = 0;
  std::string encoding;
  bool all_hot = false;
};

/// Noise of all frames comes from one pool, each frame at a place of its own: drawing it anew would
/// take longer than the benchmark.
struct Noise {
  std::vector<float> pool;
  std::vector<float> columns;
};

Noise draw_noise(int width) {
  std::mt19937 random(1);
  std::normal_distribution<float> normal;
  Noise noise{std::vector<float>(kNoisePool), std::vector<float>(static_cast<std::size_t>(width))};
  for (float& value : noise.pool) value = kNoiseK * normal(random);
  for (float& value : noise.columns) value = kColumnPatternK * normal(random);
  return noise;
}

/// What a motor's frames have in common, from its number alone.
double air_c(int frame) {
  return 20 + 0.5 * (frame / kImagesPerMotor % 12);
}

bool is_hot(const Survey& survey, int frame) {
  return survey.all_hot || frame % kHotEvery == 7;
}

int hot_phase(int frame) {
  return frame / kImagesPerMotor % 3;
}

double lug_c(const Survey& survey, int frame, int phase) {
  const double even = air_c(frame) + 0.2 + 0.05 * ((frame + phase) % 3);
  return is_hot(survey, frame) && phase == hot_phase(frame) ? even + 5 + frame % 7 * 4 : even;
}

/// A blob falls apart into a row and a column factor: two short tables, not an exponential a pixel.
void add_blob(std::vector<float>& celsius, const Survey& survey, std::mt19937& random) {
  std::uniform_real_distribution<double> unit;
  const double cx = unit(random) * survey.width;
  const double cy = unit(random) * survey.height;
  const double sigma = 8 + 80 * unit(random);
  const double rise = -3 + 18 * unit(random);
  std::vector<float> across(static_cast<std::size_t>(survey.width));
  for (int x = 0; x < survey.width; ++x) {
    across[x] = static_cast<float>(rise * std::exp(-(x - cx) * (x - cx) / (2 * sigma * sigma)));
  }
  for (int y = 0; y < survey.height; ++y) {
    const auto down = static_cast<float>(std::exp(-(y - cy) * (y - cy) / (2 * sigma * sigma)));
    float* row = &celsius[static_cast<std::size_t>(y) * survey.width];
    for (int x = 0; x < survey.width; ++x) row[x] += down * across[x];
  }
}

/// A lug covers what is behind it, with an edge as soft as a lens makes it.
void put_lug(std::vector<float>& celsius, const Survey& survey, int frame, int phase) {
  const int cx = static_cast<int>(bench::kPlaces[phase][0] * survey.width);
  const int cy = static_cast<int>(bench::kPlaces[phase][1] * survey.height);
  const int reach = static_cast<int>(kLugEdgePx + 8 * kLugEdgeSoftnessPx);
  for (int y = std::max(0, cy - reach); y < std::min(survey.height, cy + reach); ++y) {
    for (int x = std::max(0, cx - reach); x < std::min(survey.width, cx + reach); ++x) {
      const double cover =
          1 / (1 + std::exp((std::hypot(x - cx, y - cy) - kLugEdgePx) / kLugEdgeSoftnessPx));
      float& pixel = celsius[static_cast<std::size_t>(y) * survey.width + x];
      pixel += static_cast<float>(cover * (lug_c(survey, frame, phase) - pixel));
    }
  }
}

std::vector<float> scene(const Survey& survey, const Noise& noise, int frame) {
  std::mt19937 random(static_cast<std::uint32_t>(frame));
  std::uniform_real_distribution<float> unit;
  const auto base = static_cast<float>(air_c(frame) + 1);
  const float across = 6 * (unit(random) - 0.5F) / static_cast<float>(survey.width);
  const float down = 6 * (unit(random) - 0.5F) / static_cast<float>(survey.height);
  std::vector<float> celsius(static_cast<std::size_t>(survey.width) * survey.height);
  for (int y = 0; y < survey.height; ++y) {
    for (int x = 0; x < survey.width; ++x) {
      celsius[static_cast<std::size_t>(y) * survey.width + x] =
          base + across * static_cast<float>(x) + down * static_cast<float>(y);
    }
  }
  for (auto blobs = 3 + random() % 6; blobs > 0; --blobs) {
    add_blob(celsius, survey, random);
  }
  for (int phase = 0; phase < 3; ++phase) put_lug(celsius, survey, frame, phase);
  std::size_t place = random() % kNoisePool;
  for (std::size_t i = 0; i < celsius.size(); ++i, place = (place + 1) % kNoisePool) {
    celsius[i] += noise.pool[place] + noise.columns[i % static_cast<std::size_t>(survey.width)];
  }
  return celsius;
}

std::string file_of(int frame) {
  return fmt::format("f{:06}.tif", frame);
}

void write_frame(const Survey& survey, int frame, const std::vector<float>& celsius) {
  const bool real = survey.encoding == "float";
  const fs::path path = survey.folder / file_of(frame);
  TIFF* tiff = TIFFOpen(path.c_str(), "w");
  if (tiff == nullptr) bench::give_up(fmt::format("cannot write {}", path.string()));
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, survey.width);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, survey.height);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, real ? 32 : 16);
  TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, real ? SAMPLEFORMAT_IEEEFP : SAMPLEFORMAT_UINT);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_MINISBLACK);
  TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, kRowsPerStrip);
  if (survey.encoding == "deflate" || real) {
    TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_ADOBE_DEFLATE);
    TIFFSetField(tiff, TIFFTAG_PREDICTOR, real ? PREDICTOR_FLOATINGPOINT : PREDICTOR_HORIZONTAL);
  } else if (survey.encoding == "lzw") {
    TIFFSetField(tiff, TIFFTAG_COMPRESSION, COMPRESSION_LZW);
  }
  std::vector<std::uint16_t> counts(static_cast<std::size_t>(survey.width));
  std::vector<float> row(static_cast<std::size_t>(survey.width));
  for (int y = 0; y < survey.height; ++y) {
    const float* from = &celsius[static_cast<std::size_t>(y) * survey.width];
    for (int x = 0; x < survey.width; ++x) {
      // What a camera stores has steps of 10 mK in either encoding.
      const double count = std::round((from[x] + bench::kZeroCelsiusK) / bench::kKelvinPerCount);
      counts[x] = static_cast<std::uint16_t>(count);
      row[x] = static_cast<float>(count * bench::kKelvinPerCount - bench::kZeroCelsiusK);
    }
    TIFFWriteScanline(tiff, real ? static_cast<void*>(row.data()) : counts.data(),
                      static_cast<std::uint32_t>(y), 0);
  }
  TIFFClose(tiff);
}

void write_frames(const Survey& survey, int threads) {
  const Noise noise = draw_noise(survey.width);
  std::atomic<int> next = 0;
  const auto work = [&] {
    for (int i = next++; i < survey.count; i = next++) {
      write_frame(survey, i, scene(survey, noise, i));
    }
  };
  std::vector<std::jthread> workers;
  for (int t = 1; t < threads; ++t) workers.emplace_back(work);
  work();
}

void write_marks(const Survey& survey) {
  fs::create_directories(survey.folder / "marks");
  for (int i = 0; i < survey.count; ++i) {
    std::ofstream marks(survey.folder / "marks" / (file_of(i) + ".json"));
    marks << fmt::format(R"({{"version":1,"image":"{}","size":[{},{}],"marks":[)", file_of(i),
                         survey.width, survey.height);
    for (int phase = 0; phase < 3; ++phase) {
      marks << fmt::format(
          R"({}{{"name":"T{}","role":"lug","phase":{},"shape":{{"kind":"circle","center":[{},{}],"radius":{}}}}})",
          phase == 0 ? "" : ",", phase + 1, phase + 1,
          static_cast<int>(bench::kPlaces[phase][0] * survey.width),
          static_cast<int>(bench::kPlaces[phase][1] * survey.height), bench::kRadiusPx);
    }
    marks << "]}\n";
  }
}

/// A motor whose frame holds a hot lug has a bad joint in the same lead: the pairs show it.
void write_reading(std::ofstream& readings, const Survey& survey, int motor) {
  std::array<double, 3> lead_mohm{30, 30.01, 29.99};
  const int last = std::min(survey.count, (motor + 1) * kImagesPerMotor);
  for (int frame = motor * kImagesPerMotor; frame < last; ++frame) {
    if (is_hot(survey, frame)) lead_mohm[hot_phase(frame)] = 33;
  }
  readings << fmt::format(
      "M-{:06},winding_resistance,2026-02-18,starter load side,{:.3f},{:.3f},"
      "{:.3f},mohm,15\n",
      motor, lead_mohm[0] + lead_mohm[1], lead_mohm[1] + lead_mohm[2], lead_mohm[2] + lead_mohm[0]);
}

void write_tables(const Survey& survey) {
  std::ofstream motors(survey.folder / "motors.csv");
  std::ofstream images(survey.folder / "images.csv");
  std::ofstream readings(survey.folder / "readings.csv");
  motors << "motor,description,rated_kw,rated_v,rated_a,connection,poles,conductor_limit_c,"
            "lug_area_cm2,criticality,downtime_cost_per_h,repair_h,currency\n";
  images << "file,motor,component,taken_at,emissivity,reflected_c,air_c,distance_m,ifov_mrad,"
            "load_1_a,load_2_a,load_3_a,scale,offset,unit\n";
  readings << "motor,test,taken_at,place,value_1,value_2,value_3,unit,temperature_c\n";
  const char* stored = survey.encoding == "float" ? "1,0,c" : "0.01,0,k";
  for (int i = 0; i < survey.count; ++i) {
    const int motor = i / kImagesPerMotor;
    const int load_a = 70 + motor % 25;
    if (i % kImagesPerMotor == 0) {
      motors << fmt::format("M-{:06},Conveyor {},55,400,100,wye,4,90,20,{},1500,2,USD\n", motor,
                            motor, 1 + motor % 5);
      write_reading(readings, survey, motor);
    }
    images << fmt::format(
        "{},M-{:06},{},2026-03-{:02}T{:02}:{:02},0.95,{},{},0.8,1.2,{},{}.2,{}.4,{}\n", file_of(i),
        motor, kComponents[i % kImagesPerMotor], 1 + i / 480 % 28, 8 + i / 60 % 8, i % 60,
        air_c(i) - 1, air_c(i), load_a, load_a, load_a, stored);
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 7 && argc != 8) {
    bench::give_up(
        "usage: bench_frames FOLDER COUNT WIDTH HEIGHT raw|deflate|lzw|float route|hot [THREADS]");
  }
  const Survey survey{argv[1], std::atoi(argv[2]),           std::atoi(argv[3]), std::atoi(argv[4]),
                      argv[5], argv[6] == std::string("hot")};
  fs::create_directories(survey.folder);
  write_frames(survey, argc == 8 ? std::atoi(argv[7]) : 1);
  write_marks(survey);
  write_tables(survey);
  return 0;
}
