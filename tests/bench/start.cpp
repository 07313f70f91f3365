// The least that a program linked with OpenCV's core and imgproc pays to start.
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

int main(int argc, char**) {
  cv::Mat pixels(2, 2, CV_8U);
  if (argc > 100) cv::blur(pixels, pixels, cv::Size(3, 3));
  return 0;
}
