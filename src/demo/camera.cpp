#include "camera.h"

#include <limits>
#include <opencv2/imgproc.hpp>

namespace ohmglow::demo {
namespace {

using radiometry::long_wave;

double apparent_c(double radiance) {
  return long_wave().temperature(Radiance{radiance}).value().value();
}

/// The temperature that a camera set to `saved` shows for an apparent temperature.
double as_saved(double apparent, const Saved& saved) {
  radiometry::Scene set;
  set.emissivity = Emissivity{saved.emissivity};
  set.reflected = Celsius{saved.reflected_c};
  const Radiance radiance = long_wave().radiance(Celsius{apparent}).value();
  return radiometry::object_temperature(long_wave(), radiance, set).value().value();
}

/// Dead pixels in a row through the first lug, off its middle.
void kill_pixels(cv::Mat& celsius, const Lug& lug, int count) {
  const int y = cvRound(lug.center.y + 0.3 * lug.half_side_px);
  for (int i = 0; i < count; ++i) {
    celsius.at<double>(y, cvRound(lug.center.x) + 2 * i) = std::numeric_limits<double>::quiet_NaN();
  }
}

}  // namespace

radiometry::Scene balance_of(const Shot& shot) {
  radiometry::Scene scene;
  scene.emissivity = Emissivity{shot.emissivity};
  scene.reflected = Celsius{shot.reflected_c};
  scene.air = Celsius{shot.air_c};
  scene.atmosphere_transmittance = Fraction{shot.atmosphere_transmittance.value_or(1)};
  const Window window = shot.window.value_or(Window{});
  scene.window_transmittance = Fraction{window.transmittance};
  scene.window_reflectance = Fraction{window.reflectance};
  scene.window = Celsius{window.window_c};
  scene.window_reflected = Celsius{window.reflected_c};
  return scene;
}

cv::Mat received(const Surfaces& surfaces, const Shot& shot) {
  radiometry::Scene scene = balance_of(shot);
  cv::Mat radiance(surfaces.celsius.size(), CV_64F);
  for (int y = 0; y < radiance.rows; ++y) {
    for (int x = 0; x < radiance.cols; ++x) {
      scene.emissivity = Emissivity{surfaces.emissivity.at<double>(y, x)};
      const Celsius object{surfaces.celsius.at<double>(y, x)};
      radiance.at<double>(y, x) =
          radiometry::received_radiance(long_wave(), object, scene).value().value();
    }
  }
  return radiance;
}

cv::Mat stored_celsius(const cv::Mat& radiance, const Picture& picture, const Shot& shot,
                       Noise& noise) {
  cv::Mat blurred;
  cv::GaussianBlur(radiance, blurred, cv::Size(), kBlur_px, kBlur_px, cv::BORDER_REPLICATE);
  std::vector<double> column_k(static_cast<std::size_t>(radiance.cols));
  for (double& offset : column_k) offset = kColumnPattern_k * noise.normal();

  cv::Mat stored(radiance.size(), CV_64F);
  for (int y = 0; y < stored.rows; ++y) {
    for (int x = 0; x < stored.cols; ++x) {
      const double offset = column_k[static_cast<std::size_t>(x)] + kNetd_k * noise.normal();
      const double apparent = apparent_c(blurred.at<double>(y, x)) + offset;
      stored.at<double>(y, x) = shot.saved ? as_saved(apparent, *shot.saved) : apparent;
    }
  }
  if (!picture.lugs.empty()) kill_pixels(stored, picture.lugs.front(), shot.no_data_pixels);
  return stored;
}

}  // namespace ohmglow::demo
