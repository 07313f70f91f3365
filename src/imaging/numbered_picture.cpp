#include "offered/imaging/numbered_picture.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <string>

namespace ohmglow::imaging {
namespace {

constexpr int kLeastWidth = 900;  ///< of the picture; a smaller image is enlarged by a whole factor
constexpr int kMostLines = 16;    ///< along the longer side
constexpr int kMargin = 44;       ///< for the numbers
constexpr double kLetters = 0.42;
constexpr std::array kSteps{5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10000};

int step_for(int pixels) {
  const auto* step = std::find_if(kSteps.begin(), kSteps.end(),
                                  [pixels](int s) { return pixels / s < kMostLines; });
  return step == kSteps.end() ? kSteps.back() : *step;
}

void write_number(cv::Mat& picture, int number, cv::Point middle) {
  const std::string text = std::to_string(number);
  int below = 0;
  const cv::Size size = cv::getTextSize(text, cv::FONT_HERSHEY_SIMPLEX, kLetters, 1, &below);
  cv::putText(picture, text, {middle.x - size.width / 2, middle.y + size.height / 2},
              cv::FONT_HERSHEY_SIMPLEX, kLetters, {0, 0, 0}, 1, cv::LINE_AA);
}

/// Light where the picture is dark and dark where it is light: half-way to the inverse.
void draw_line(cv::Mat line) {
  cv::Mat inverse;
  cv::bitwise_not(line, inverse);
  cv::addWeighted(line, 0.5, inverse, 0.5, 0, line);
}

}  // namespace

cv::Mat numbered_picture(const cv::Mat& celsius) {
  const Statistics range = statistics(celsius);
  const double high = range.max > range.min ? range.max : range.min + 1;
  const cv::Mat frame = render(celsius, Celsius{range.min}, Celsius{high}, Palette::grey);
  const int factor = std::max(1, (kLeastWidth + frame.cols - 1) / frame.cols);
  cv::Mat enlarged;
  cv::resize(frame, enlarged, {}, factor, factor, cv::INTER_NEAREST);
  cv::Mat picture(enlarged.rows + kMargin, enlarged.cols + kMargin, CV_8UC3,
                  cv::Scalar(255, 255, 255));
  cv::Mat inside = picture(cv::Rect({kMargin, kMargin}, enlarged.size()));
  enlarged.copyTo(inside);
  const int step = step_for(std::max(frame.cols, frame.rows));
  for (int x = 0; x < frame.cols; x += step) {
    const int at = x * factor + factor / 2;
    draw_line(inside.col(at));
    write_number(picture, x, {kMargin + at, kMargin / 2});
  }
  for (int y = 0; y < frame.rows; y += step) {
    const int at = y * factor + factor / 2;
    draw_line(inside.row(at));
    write_number(picture, y, {kMargin / 2, kMargin + at});
  }
  return picture;
}

}  // namespace ohmglow::imaging
