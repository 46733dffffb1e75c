#include "apps/progress_bar.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include <unistd.h>

#include <fmt/format.h>

namespace wainscot {

ProgressBar::ProgressBar(bool wanted) : on_terminal_(wanted && ::isatty(STDERR_FILENO) == 1) {}

ProgressBar::~ProgressBar() { wipe(); }

void ProgressBar::wipe() {
  if (drawn_) std::fputs("\r\x1b[K", stderr);
  drawn_ = false;
}

void ProgressBar::show(const std::string& stage, double fraction) { draw(progress_line(stage, fraction), stage); }

void ProgressBar::show_state(const std::string& state) { draw(state, {}); }

void ProgressBar::draw(const std::string& line, const std::string& stage) {
  if (!on_terminal_) return;
  const auto now = std::chrono::steady_clock::now();
  if (drawn_ && stage == stage_ && now - last_drawn_ < std::chrono::milliseconds(100)) return;
  std::fputs(("\r\x1b[K" + line).c_str(), stderr);
  std::fflush(stderr);
  drawn_ = true;
  stage_ = stage;
  last_drawn_ = now;
}

std::string progress_line(const std::string& stage, double fraction) {
  constexpr int bar_width = 30;
  const double done = std::isfinite(fraction) ? std::clamp(fraction, 0.0, 1.0) : 0.0;
  const int filled = static_cast<int>(std::floor(done * bar_width));
  const std::string bar = std::string(static_cast<std::size_t>(filled), '#') +
                          std::string(static_cast<std::size_t>(bar_width - filled), '.');
  return fmt::format("{} {:3.0f} % {:.20}", bar, std::floor(100.0 * done), stage);
}

}  // namespace wainscot
