#include "embedded.h"
#include "offered/sight/sight.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/dnn.hpp>
#include <opencv2/imgproc.hpp>
#include <string_view>

namespace ohmglow::sight {

using marking::LugSeen;

namespace {

// As in tests/scenes/lug_net.py, by which the network was trained.
constexpr double kFinest_px = 256;  ///< short side
constexpr int kShownLevels = 3;
constexpr int kPlace_px = 4;  ///< from one place of the answer to the next
constexpr int kNear_px = 25;
constexpr int kWide_px = 81;
constexpr double kMostContrast = 4;
constexpr double kUsualRadius_px = 6.4;
constexpr float kLeastMerit = -3.5F;

/// What the network is shown: the picture at one size, twice its half; each pixel against its
/// near and its wide surroundings.
struct Shown {
  cv::Mat contrast;  ///< 1 × 2 × rows × columns
  double times = 1;  ///< pixels of the picture a pixel
};

cv::dnn::Net network(std::string_view name) {
  const auto files = embedded::networks();
  const auto file = std::find_if(files.begin(), files.end(),
                                 [name](const auto& each) { return each.name == name; });
  return cv::dnn::readNetFromONNX(file->content.data(), file->content.size());
}

/// Each pixel against the square about it, over the deviation there.
void add_contrast(const cv::Mat& image, int side, double noise_k, cv::Mat& to) {
  cv::Mat mean;
  cv::Mat spread;
  cv::blur(image, mean, {side, side});
  const cv::Mat above = image - mean;
  const cv::Mat square = above.mul(above);
  cv::blur(square, spread, {side, side});
  cv::sqrt(cv::max(spread, 0), spread);
  spread += 0.25 * std::sqrt(cv::mean(square)[0]) + 2 * noise_k + 1e-6;
  cv::divide(above, spread, to);
  cv::min(to, kMostContrast, to);
  cv::max(to, -kMostContrast, to);
}

Shown shown_of(const cv::Mat& image, double noise_k, double times) {
  Shown level;
  level.times = times;
  const std::array sizes{1, 2, image.rows, image.cols};
  level.contrast.create(static_cast<int>(sizes.size()), sizes.data(), CV_32F);
  for (int channel = 0; channel < 2; ++channel) {
    cv::Mat plane(image.size(), CV_32F, level.contrast.ptr<float>(0, channel));
    add_contrast(image, channel == 0 ? kNear_px : kWide_px, noise_k, plane);
  }
  return level;
}

struct Mirror {
  bool across = false;
  bool down = false;
};
constexpr std::array kMirrors{Mirror{false, false}, Mirror{true, false}, Mirror{false, true},
                              Mirror{true, true}};

/// Of planes that lie in one array, one, which shares its values.
cv::Mat plane_of(cv::Mat& planes, int number) {
  return {planes.size[2], planes.size[3], CV_32F, planes.ptr<float>(0, number)};
}

/// Moved on by a pixel, so that places of the answer lie on the same pixels again.
void turn(cv::Mat plane, const Mirror& way) {
  cv::Mat turned = plane.clone();
  if (way.across) cv::flip(turned, turned, 1);
  if (way.down) cv::flip(turned, turned, 0);
  cv::copyMakeBorder(turned, turned, way.down ? 1 : 0, 0, way.across ? 1 : 0, 0,
                     cv::BORDER_REPLICATE);
  turned(cv::Rect({0, 0}, plane.size())).copyTo(plane);
}

void turn_all(cv::Mat& planes, const Mirror& way) {
  for (int k = 0; k < planes.size[1]; ++k) turn(plane_of(planes, k), way);
}

/// The first column or row has no place in the mirror image: it stays the picture's own.
void turn_back(cv::Mat& planes, const Mirror& way, cv::Mat& own) {
  turn_all(planes, way);
  for (int k = 0; k < planes.size[1]; ++k) {
    if (way.across) plane_of(own, k).col(0).copyTo(plane_of(planes, k).col(0));
    if (way.down) plane_of(own, k).row(0).copyTo(plane_of(planes, k).row(0));
  }
}

struct Answer {
  cv::Mat features;
  cv::Mat lugs;  ///< merit, offset to the right and down in places, size
};

Answer answer_of(cv::dnn::Net& net, const cv::Mat& contrast) {
  std::vector<cv::Mat> said;
  net.setInput(contrast);
  net.forward(said, std::vector<cv::String>{"features", "lugs"});
  return {said[0].clone(), said[1].clone()};
}

/// The mean over the picture and its mirror images, so that all of them are told the same.
Answer mean_answer(cv::dnn::Net& net, const cv::Mat& contrast) {
  Answer own;
  Answer mean;
  for (const Mirror& way : kMirrors) {
    cv::Mat turned = contrast.clone();
    turn_all(turned, way);
    Answer said = answer_of(net, turned);
    if (own.lugs.empty()) {
      own = said;
      mean = {said.features.clone(), said.lugs.clone()};
      continue;
    }
    if (way.across) plane_of(said.lugs, 1) *= -1;
    if (way.down) plane_of(said.lugs, 2) *= -1;
    turn_back(said.features, way, own.features);
    turn_back(said.lugs, way, own.lugs);
    mean.features += said.features;
    mean.lugs += said.lugs;
  }
  mean.features /= static_cast<double>(kMirrors.size());
  mean.lugs /= static_cast<double>(kMirrors.size());
  return mean;
}

/// The lugs that one level shows: where the odds are highest among their neighbours.
void add_lugs(cv::dnn::Net& net, const Shown& level, std::vector<LugSeen>& found) {
  Answer answer = mean_answer(net, level.contrast);
  const cv::Mat& features = answer.features;
  cv::Mat& lugs = answer.lugs;
  const cv::Size size(lugs.size[3], lugs.size[2]);
  const cv::Mat merit(size, CV_32F, lugs.ptr<float>(0, 0));
  cv::Mat highest;
  cv::dilate(merit, highest, cv::Mat::ones(3, 3, CV_8U));
  const auto at = [&lugs](int channel, int y, int x) {
    return static_cast<double>(lugs.ptr<float>(0, channel, y)[x]);
  };
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const float odds = merit.at<float>(y, x);
      if (odds <= kLeastMerit || odds < highest.at<float>(y, x)) continue;
      const double u = kPlace_px * (x + std::clamp(at(1, y, x), -1.5, 1.5));
      const double v = kPlace_px * (y + std::clamp(at(2, y, x), -1.5, 1.5));
      LugSeen lug;
      lug.center = {(u + 0.5) * level.times - 0.5, (v + 0.5) * level.times - 0.5};
      lug.radius = kUsualRadius_px * std::exp2(std::clamp(at(3, y, x), -1.0, 1.0)) * level.times;
      lug.merit = odds;
      lug.features.create(1, features.size[1], CV_32F);
      for (int k = 0; k < lug.features.cols; ++k) {
        lug.features.at<float>(k) = features.ptr<float>(0, k, y)[x];
      }
      found.push_back(std::move(lug));
    }
  }
}

/// Whether both are answers about the same lug, by its palm and by its nut, say.
bool are_one(const LugSeen& a, const LugSeen& b) {
  const auto [smaller, larger] = std::minmax(a.radius, b.radius);
  return std::hypot(a.center.x - b.center.x, a.center.y - b.center.y) <=
         0.9 * std::min(1.6 * smaller, larger);
}

std::vector<Shown> shown(const cv::Mat& filled, double noise_k) {
  double times = std::min(filled.cols, filled.rows) / kFinest_px;
  noise_k /= std::max(1.0, times);
  const cv::Size size(static_cast<int>(filled.cols / times + 0.5),
                      static_cast<int>(filled.rows / times + 0.5));
  cv::Mat image = filled - cv::mean(filled)[0];
  cv::resize(image, image, size, 0, 0, times > 1 ? cv::INTER_AREA : cv::INTER_LINEAR);
  // So that each level has whole places of the answer, and those an even number.
  const auto short_of = [](int side) { return (32 - side % 32) % 32; };
  cv::copyMakeBorder(image, image, 0, short_of(image.rows), 0, short_of(image.cols),
                     cv::BORDER_REPLICATE);
  std::vector<Shown> levels;
  for (int k = 0; k < kShownLevels; ++k) {
    if (k > 0) cv::resize(image, image, image.size() / 2, 0, 0, cv::INTER_AREA);
    levels.push_back(shown_of(image, noise_k, times));
    noise_k /= 2;
    times *= 2;
  }
  return levels;
}

std::vector<LugSeen> lugs(const cv::Mat& filled, double noise_k) {
  thread_local cv::dnn::Net net = network("lug_net.onnx");
  std::vector<LugSeen> found;
  for (const Shown& level : shown(filled, noise_k)) add_lugs(net, level, found);
  std::stable_sort(found.begin(), found.end(),
                   [](const LugSeen& a, const LugSeen& b) { return a.merit > b.merit; });
  std::vector<LugSeen> kept;
  for (LugSeen& lug : found) {
    if (kept.size() == marking::kMostLugs) break;
    const bool known = std::any_of(kept.begin(), kept.end(),
                                   [&lug](const LugSeen& other) { return are_one(lug, other); });
    if (!known) kept.push_back(std::move(lug));
  }
  return kept;
}

std::vector<double> group_merits(const cv::Mat& rows) {
  thread_local cv::dnn::Net net = network("lug_groups.onnx");
  net.setInput(rows);
  const cv::Mat said = net.forward();
  return {said.begin<float>(), said.end<float>()};
}

}  // namespace

marking::Sight sight() {
  return {lugs, group_merits};
}

}  // namespace ohmglow::sight
