// The plain job as an ordinary OpenCV program does it: bench_peer_opencv FOLDER THREADS.

#include "frame_folder.h"
#include "plain_job.h"

#include <opencv2/core.hpp>
#include <opencv2/imgcodecs.hpp>
#include <string>
#include <vector>

namespace {

using Region = std::vector<float>;

double plain_job(const std::string& path, Region& region) {
  const cv::Mat frame = cv::imread(path, cv::IMREAD_UNCHANGED);
  if (frame.empty()) bench::give_up("cannot read " + path);
  const bool real = frame.depth() == CV_32F;
  double least = 0;
  double greatest = 0;
  cv::minMaxLoc(frame, &least, &greatest);
  const double sum = least + greatest + cv::mean(frame)[0];
  const auto pixel_c = [&](int x, int y) {
    return bench::object_c(real ? frame.at<float>(y, x) + bench::kZeroCelsiusK
                                : frame.at<ushort>(y, x) * bench::kKelvinPerCount);
  };
  return sum * (real ? 1 : bench::kKelvinPerCount) +
         bench::three_regions(frame.cols, frame.rows, pixel_c, region);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) bench::give_up("usage: bench_peer_opencv FOLDER THREADS");
  cv::setNumThreads(1);  // the threads of this program share the frames out already
  bench::run_over_frames<Region>(argv[1], std::atoi(argv[2]), plain_job);
  return 0;
}
