#pragma once

// Independent work on several cores with the same result at any number of threads: item i is done by whichever thread
// is free, but writes only what belongs to item i.

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace wainscot {

/// How many the machine has; 1 where it does not tell.
inline unsigned processors() { return std::max(1U, std::thread::hardware_concurrency()); }

/// Calls `work(i)` for i = 0 .. count - 1. `threads` <= 0: as many as the machine has. The first exception is passed
/// on.
inline void for_each_index(std::size_t count, int threads, const std::function<void(std::size_t)>& work) {
  // A limit of time: threads ask for work an eighth as often; what comes out is the same.
  constexpr std::size_t kChunk = 8;
  std::atomic<std::size_t> next{0};
  std::exception_ptr failure;
  std::mutex failure_mutex;
  const auto run = [&] {
    try {
      for (std::size_t begin = next.fetch_add(kChunk); begin < count; begin = next.fetch_add(kChunk)) {
        for (std::size_t i = begin; i < std::min(begin + kChunk, count); ++i) work(i);
      }
    } catch (...) {
      const std::lock_guard<std::mutex> lock(failure_mutex);
      if (!failure) failure = std::current_exception();
    }
  };
  const std::size_t wanted = threads <= 0 ? processors() : static_cast<std::size_t>(threads);
  const std::size_t used = std::min(wanted, (count + kChunk - 1) / kChunk);
  std::vector<std::jthread> others;
  for (std::size_t i = 1; i < used; ++i) others.emplace_back(run);
  run();
  others.clear();
  if (failure) std::rethrow_exception(failure);
}

}  // namespace wainscot
