#pragma once
/// What every floor and peer written in C++ does around its job: find the frames, share them among
/// threads, print a sum that says whether two programs measured the same.

#include <algorithm>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <thread>
#include <vector>

namespace bench {

[[noreturn]] inline void give_up(const std::string& why) {
  std::fprintf(stderr, "%s\n", why.c_str());
  std::exit(1);
}

inline std::vector<std::string> frames_of(const std::string& folder) {
  std::vector<std::string> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() == ".tif") files.push_back(entry.path().string());
  }
  std::sort(files.begin(), files.end());
  return files;
}

/// `job(path, worker)` gives a number for each frame; a Worker holds the buffers of one thread.
template <class Worker, class Job>
void run_over_frames(const std::string& folder, int threads, Job job) {
  const auto files = frames_of(folder);
  if (files.empty()) give_up("no .tif file in " + folder);
  std::vector<double> results(files.size());
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    Worker worker;
    for (std::size_t i = next++; i < files.size(); i = next++) results[i] = job(files[i], worker);
  };
  {
    std::vector<std::jthread> workers;
    for (int t = 1; t < threads; ++t) workers.emplace_back(work);
    work();
  }
  double sum = 0;
  for (const double result : results) sum += result;
  std::printf("frames %zu sum %.6f\n", files.size(), sum);
}

}  // namespace bench
