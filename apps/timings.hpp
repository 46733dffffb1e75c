#pragma once

#include <chrono>
#include <string>
#include <vector>

namespace wainscot {

/// How long the stages of a run took: wall-clock time and the CPU time of all threads.
class Timings {
 public:
  Timings();

  /// Ends the stage before and begins another. A name that comes again adds to its first entry.
  void begin(const std::string& stage);

  double wall_s() const;           ///< since the object was made
  double cpu_s() const;            ///< of the whole process, all threads, since the object was made
  static double peak_memory_mb();  ///< of the whole process, 1 MB = 10^6 bytes

  /// Ends the last stage and gives everything as JSON, seconds and megabytes.
  std::string json();

 private:
  struct Moment {
    std::chrono::steady_clock::time_point wall;
    double cpu_s = 0.0;
  };
  struct Stage {
    std::string name;
    double wall_s = 0.0;
    double cpu_s = 0.0;
  };
  static Moment now();
  void end_stage();

  Moment start_;
  Moment stage_start_;
  std::string stage_;
  std::vector<Stage> stages_;
};

}  // namespace wainscot
