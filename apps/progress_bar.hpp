#pragma once

#include <chrono>
#include <string>

namespace wainscot {

/// One line on standard error that is drawn over and over, only where that is a terminal; elsewhere nothing is written.
/// The line is wiped when the bar goes out of scope. To be told from one thread at a time.
class ProgressBar {
 public:
  /// `wanted` false: never draws.
  explicit ProgressBar(bool wanted);
  ProgressBar(const ProgressBar&) = delete;
  ProgressBar& operator=(const ProgressBar&) = delete;
  ~ProgressBar();

  /// `fraction` of the whole job, 0..1. Draws ten times a second at most, and at each new stage.
  void show(const std::string& stage, double fraction);

  /// Of work whose end nobody knows: how things stand, in place of the bar. As often.
  void show_state(const std::string& state);

  /// Wipes the line, so that other text can follow.
  void wipe();

 private:
  void draw(const std::string& line, const std::string& stage);

  bool on_terminal_;
  bool drawn_ = false;
  std::string stage_;
  std::chrono::steady_clock::time_point last_drawn_;
};

/// The line's text, 60 characters wide at most.
std::string progress_line(const std::string& stage, double fraction);

}  // namespace wainscot
