#pragma once
/// Work shared out over threads.

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <mutex>
#include <system_error>
#include <thread>
#include <vector>

namespace ohmglow::assessment {

/// Calls a worker of each thread, made by `make_worker`, with the indices 0 … count - 1, each once.
/// `jobs` = 0: a thread a core. What a worker throws ends the work and is thrown on to the caller.
template <class MakeWorker>
void share_out(std::size_t count, unsigned jobs, const MakeWorker& make_worker) {
  std::atomic<std::size_t> next = 0;
  std::exception_ptr thrown;
  std::once_flag first;
  const auto work = [&] {
    try {
      auto worker = make_worker();
      for (std::size_t i = next++; i < count; i = next++) worker(i);
    } catch (...) {
      next = count;
      std::call_once(first, [&] { thrown = std::current_exception(); });
    }
  };
  const unsigned wanted = jobs != 0 ? jobs : std::thread::hardware_concurrency();
  const auto threads = std::clamp<std::size_t>(wanted, 1, std::max<std::size_t>(count, 1));
  {
    std::vector<std::jthread> workers;
    try {
      for (std::size_t t = 1; t < threads; ++t) workers.emplace_back(work);
    } catch (const std::system_error&) {
      // The machine gives no more threads; those at hand do the work.
    }
    work();
  }
  if (thrown) std::rethrow_exception(thrown);
}

}  // namespace ohmglow::assessment
