#include "spots.h"

#include "contrast.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace ohmglow::marking {
namespace {

constexpr double kSmallest_px = 2.0;    ///< scale of the blur, of a spot about three pixels across
constexpr double kLargestShare = 0.11;  ///< of the shorter side
constexpr double kScaleStep = 1.2;
constexpr double kLeastContrast_k = 0.15;
constexpr double kOverNoise = 6;
constexpr double kWarmest = 0.85;  ///< share of the picture that is cooler than a warm spot
constexpr double kColdest = 0.05;  ///< share that is colder than a cold spot

/// One scale of the picture. The determinant of the second derivatives is large where a picture
/// curves the same way along every direction: on spots, and not on edges, cables or bus bars
/// (T. Lindeberg, Feature detection with automatic scale selection, IJCV 30, 1998; from memory).
struct Scale {
  double sigma = 0;
  cv::Mat strength;  ///< K, above zero on warm spots, below on cold ones
};

Scale scale_of(const cv::Mat& image, double sigma) {
  cv::Mat blurred;
  cv::GaussianBlur(image, blurred, {}, sigma, sigma, cv::BORDER_REPLICATE);
  const auto derivative = [&blurred](int x, int y) {
    const cv::Mat row = x == 2   ? (cv::Mat_<float>(1, 3) << 1, -2, 1)
                        : x == 1 ? (cv::Mat_<float>(1, 3) << -0.5, 0, 0.5)
                                 : (cv::Mat_<float>(1, 3) << 0, 1, 0);
    const cv::Mat column = y == 2   ? (cv::Mat_<float>(3, 1) << 1, -2, 1)
                           : y == 1 ? (cv::Mat_<float>(3, 1) << -0.5, 0, 0.5)
                                    : (cv::Mat_<float>(3, 1) << 0, 1, 0);
    cv::Mat result;
    cv::sepFilter2D(blurred, result, CV_32F, row, column, {-1, -1}, 0, cv::BORDER_REPLICATE);
    return result;
  };
  const cv::Mat xx = derivative(2, 0);
  const cv::Mat yy = derivative(0, 2);
  const cv::Mat xy = derivative(1, 1);
  cv::Mat strength = cv::max(xx.mul(yy) - xy.mul(xy), 0);
  cv::sqrt(strength, strength);
  strength *= sigma * sigma;
  const cv::Mat cold = (xx + yy) > 0;
  cv::Mat negative = -strength;
  negative.copyTo(strength, cold);
  return {sigma, strength};
}

/// Deviation of the strength that the noise alone gives: of a second derivative of white noise
/// blurred by sigma, sqrt(3 / (16 pi)) / sigma^3, times sigma^2.
double noise_at(double sigma, double noise_k) {
  return 0.244 * noise_k / sigma;
}

void add_peaks(std::vector<SpotSeen>& found, const Scale& scale, double noise_k, double times) {
  const cv::Mat size = cv::abs(scale.strength);
  const int reach = std::max(1, cvRound(scale.sigma));
  cv::Mat highest;
  cv::dilate(size, highest,
             cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1}));
  const auto least =
      static_cast<float>(std::max(kLeastContrast_k, kOverNoise * noise_at(scale.sigma, noise_k)));
  const int border = reach;
  for (int y = border; y < size.rows - border; ++y) {
    for (int x = border; x < size.cols - border; ++x) {
      const float value = size.at<float>(y, x);
      if (value < least || value < highest.at<float>(y, x)) continue;
      // In the full picture's pixels; a disc of radius r answers most at sigma = r / sqrt(2).
      found.push_back({{(x + 0.5) * times - 0.5, (y + 0.5) * times - 0.5},
                       scale.sigma * std::sqrt(2.0) * times,
                       scale.strength.at<float>(y, x)});
    }
  }
}

/// Spots among the warmest parts of the picture, or the coldest (bare metal mirrors its cool
/// surroundings): corners and joints of things stand out of what is next to them alone.
std::vector<SpotSeen> without_joints(const cv::Mat& image, std::vector<SpotSeen> found,
                                     double times) {
  cv::Mat sorted = image.reshape(1, 1).clone();
  cv::sort(sorted, sorted, cv::SORT_ASCENDING);
  const auto level = [&sorted](double share) {
    return sorted.at<float>(0, static_cast<int>(share * (sorted.cols - 1)));
  };
  const float warm = level(kWarmest);
  const float cold = level(kColdest);
  std::erase_if(found, [&](const SpotSeen& spot) {
    const cv::Point at(static_cast<int>(spot.center.x / times),
                       static_cast<int>(spot.center.y / times));
    const float value = image.at<float>(at);
    return spot.contrast_k > 0 ? value < warm : value > cold;
  });
  return found;
}

/// One of each group of answers to the same spot: the strongest.
std::vector<SpotSeen> without_doubles(std::vector<SpotSeen> found) {
  std::stable_sort(found.begin(), found.end(), [](const SpotSeen& a, const SpotSeen& b) {
    return std::abs(a.contrast_k) > std::abs(b.contrast_k);
  });
  std::vector<SpotSeen> kept;
  for (const SpotSeen& spot : found) {
    const bool seen = std::any_of(kept.begin(), kept.end(), [&spot](const SpotSeen& other) {
      const double apart =
          std::hypot(spot.center.x - other.center.x, spot.center.y - other.center.y);
      return apart < std::max(spot.radius, other.radius);
    });
    if (!seen) kept.push_back(spot);
    if (kept.size() == kMostSpots) break;
  }
  return kept;
}

}  // namespace

std::vector<SpotSeen> spots(const cv::Mat& filled) {
  // Large pictures are looked at smaller: a lug is not found better by more pixels.
  constexpr int kLongestSide_px = 400;
  const double times =
      std::max(1.0, std::max(filled.cols, filled.rows) / static_cast<double>(kLongestSide_px));
  cv::Mat image = filled;
  if (times > 1) {
    cv::resize(filled, image, {cvRound(filled.cols / times), cvRound(filled.rows / times)}, 0, 0,
               cv::INTER_AREA);
  }
  const double noise_k = pixel_noise_k(image);
  const double largest = kLargestShare * std::min(image.cols, image.rows);
  std::vector<SpotSeen> found;
  for (double sigma = kSmallest_px; sigma <= largest; sigma *= kScaleStep) {
    add_peaks(found, scale_of(image, sigma), noise_k, times);
  }
  return without_doubles(without_joints(image, std::move(found), times));
}

}  // namespace ohmglow::marking
