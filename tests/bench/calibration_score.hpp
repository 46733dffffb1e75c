#pragma once

// What the bench and its test measure of calibration over many simulated robots.

#include <cstdint>
#include <string>
#include <vector>

namespace wainscot::bench {

/// Errors of one constant over many robots.
struct ConstantScore {
  std::string name;
  std::string unit;
  std::vector<double> stated_errors;  ///< of robot.yaml before
  std::vector<double> errors;         ///< found minus true
  std::vector<double> half_widths;    ///< of the 95 % intervals

  double before() const;            ///< median of |stated error|
  double quantile(double p) const;  ///< of |error|
  double usual_width() const;       ///< median of the half widths
  double coverage() const;          ///< part of the intervals that hold the truth
};

struct RunsScore {
  std::vector<ConstantScore> constants;
  std::vector<double> improvements;  ///< of the square-path test, on squares that took no part in it
  double improvement(double p) const;
};

struct DrivesScore {
  std::vector<ConstantScore> constants;
  int failures = 0;
};

/// The same constants by those who know them apart, and by all of them.
struct TogetherScore {
  std::vector<ConstantScore> runs;   ///< alone; what runs cannot tell is not in it
  std::vector<ConstantScore> drive;  ///< alone
  std::vector<ConstantScore> both;
  int failures = 0;
  int contradictions = 0;  ///< robots of whom runs and drive were told to contradict each other
};

/// Robots of random houses at the raw level; calibration runs as `simulate --calibration-runs` makes them.
RunsScore score_runs(std::uint64_t first, int count);

/// The same robots' drives, with a range scale that is wrong by 0.5 % (standard deviation).
DrivesScore score_drives(std::uint64_t first, int count, bool increments_only);

/// Runs and a drive of the same robots as in the other two. The track width that counts is that of the drive: the mean
/// of its floors by how much the robot turned on each.
TogetherScore score_together(std::uint64_t first, int count, bool increments_only);

}  // namespace wainscot::bench
