#include "assessment/pixel_tables.h"

#include <cmath>
#include <limits>
#include <tuple>

namespace ohmglow::assessment {
namespace {

constexpr std::size_t kNumbers16Bit = 65536;
/// A route rarely holds more parameter sets at once; a table is 256 KiB.
constexpr std::size_t kMostTables = 16;
/// Marks a table entry that was not asked for yet (no temperature is that low).
constexpr float kNotAsked = -1e30F;

auto key_of(const PixelParameters& p) {
  const auto& s = p.scene;
  return std::make_tuple(p.band, p.declaration.scale, p.declaration.offset, p.declaration.unit,
                         p.saved.emissivity.value(), p.saved.reflected.value(),
                         s.emissivity.value(), s.reflected.value(),
                         s.atmosphere_transmittance.value(), s.air.value(),
                         s.window_transmittance.value(), s.window_reflectance.value(),
                         s.window.value(), s.window_reflected.value());
}

template <class Stored>
cv::Mat through_table(const cv::Mat& stored, const PixelParameters& parameters,
                      std::vector<float>& table) {
  cv::Mat result(stored.size(), CV_32F);
  for (int y = 0; y < stored.rows; ++y) {
    const Stored* from = stored.ptr<Stored>(y);
    auto* to = result.ptr<float>(y);
    for (int x = 0; x < stored.cols; ++x) {
      float& entry = table[static_cast<std::uint16_t>(from[x])];
      if (entry == kNotAsked) {
        entry =
            object_celsius(imaging::stored_to_celsius(from[x], parameters.declaration), parameters);
      }
      to[x] = entry;
    }
  }
  return result;
}

}  // namespace

float object_celsius(Celsius stored, const PixelParameters& parameters) {
  constexpr float kNone = std::numeric_limits<float>::quiet_NaN();
  if (!std::isfinite(stored.value())) return kNone;
  const radiometry::BandRadiance& band = *parameters.band;
  const auto received = radiometry::apparent_radiance(band, stored, parameters.saved);
  if (!received) return kNone;
  const auto object = radiometry::object_temperature(band, *received, parameters.scene);
  return object ? static_cast<float>(object->value()) : kNone;
}

PixelTables::Table& PixelTables::table_for(const PixelParameters& parameters) {
  const auto key = key_of(parameters);
  for (Table& table : tables_) {
    if (key_of(table.parameters) == key) return table;
  }
  if (tables_.size() < kMostTables) {
    return tables_.emplace_back(Table{parameters, std::vector<float>(kNumbers16Bit, kNotAsked)});
  }
  Table& oldest = tables_[next_++ % kMostTables];
  oldest.parameters = parameters;
  oldest.celsius.assign(kNumbers16Bit, kNotAsked);
  return oldest;
}

cv::Mat PixelTables::object_celsius(const imaging::ThermalImage& image, const cv::Rect& part,
                                    const PixelParameters& parameters) {
  const cv::Mat stored = image.stored().pixels(part);
  if (stored.type() == CV_16U) {
    return through_table<std::uint16_t>(stored, parameters, table_for(parameters).celsius);
  }
  if (stored.type() == CV_16S) {
    return through_table<std::int16_t>(stored, parameters, table_for(parameters).celsius);
  }
  cv::Mat result = image.celsius(part);
  result.forEach<float>([&parameters](float& value, const int*) {
    value = assessment::object_celsius(Celsius{value}, parameters);
  });
  return result;
}

}  // namespace ohmglow::assessment
