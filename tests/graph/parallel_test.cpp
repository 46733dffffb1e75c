#include "graph/parallel.hpp"

#include <atomic>
#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(Parallel, EveryIndexIsDoneOnceAtAnyNumberOfThreads) {
  for (const int threads : {-1, 0, 1, 2, 5, 40}) {
    for (const std::size_t count : {0U, 1U, 7U, 8U, 9U, 1000U}) {
      std::vector<std::atomic<int>> done(count);
      for_each_index(count, threads, [&](std::size_t i) { ++done.at(i); });
      for (std::size_t i = 0; i < count; ++i) EXPECT_EQ(done[i], 1) << i << " of " << count << ", threads " << threads;
    }
  }
}

TEST(Parallel, AnExceptionReachesTheCaller) {
  for (const int threads : {1, 4}) {
    const auto work = [](std::size_t i) {
      if (i == 123) throw std::runtime_error("item 123");
    };
    try {
      for_each_index(1000, threads, work);
      FAIL() << "no exception with " << threads << " threads";
    } catch (const std::runtime_error& error) {
      EXPECT_EQ(std::string(error.what()), "item 123");
    }
  }
}

TEST(Parallel, SeveralThreadsReallyWorkAtTheSameTime) {
  // Two items in different chunks that wait for one another: one thread alone would never come back.
  std::atomic<int> arrived{0};
  const auto work = [&](std::size_t i) {
    if (i != 0 && i != 8) return;
    ++arrived;
    while (arrived < 2) std::this_thread::yield();
  };
  for_each_index(16, 2, work);
  EXPECT_EQ(arrived, 2);
}

}  // namespace
}  // namespace wainscot
