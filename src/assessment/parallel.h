#pragma once
/// Work shared out over threads.

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <thread>
#include <vector>

namespace ohmglow::assessment {

/// Calls a worker of each thread, made by `make_worker`, with the indices 0 … count - 1, each once.
/// `jobs` = 0: a thread a core.
template <class MakeWorker>
void share_out(std::size_t count, unsigned jobs, const MakeWorker& make_worker) {
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    auto worker = make_worker();
    for (std::size_t i = next++; i < count; i = next++) worker(i);
  };
  const unsigned wanted = jobs != 0 ? jobs : std::thread::hardware_concurrency();
  const auto threads = std::clamp<std::size_t>(wanted, 1, std::max<std::size_t>(count, 1));
  std::vector<std::jthread> workers;
  for (std::size_t t = 1; t < threads; ++t) workers.emplace_back(work);
  work();
}

}  // namespace ohmglow::assessment
