#pragma once

// Waiting for what happens beside a test: for a condition, never for a time.

#include <chrono>
#include <functional>
#include <thread>

namespace wainscot {

inline void sleep_ms(int milliseconds) { std::this_thread::sleep_for(std::chrono::milliseconds(milliseconds)); }

/// Whether something comes true within what a busy machine may need.
inline bool comes_true(const std::function<bool()>& condition) {
  const auto latest = std::chrono::steady_clock::now() + std::chrono::seconds(60);
  while (!condition()) {
    if (std::chrono::steady_clock::now() > latest) return false;
    sleep_ms(10);
  }
  return true;
}

}  // namespace wainscot
