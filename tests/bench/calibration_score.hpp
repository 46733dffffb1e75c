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

/// Robots of random houses at the raw level; calibration runs as `simulate --calibration-runs` makes them.
RunsScore score_runs(std::uint64_t first, int count);

/// The same robots' drives, with a range scale that is wrong by 0.5 % (standard deviation).
DrivesScore score_drives(std::uint64_t first, int count, bool increments_only);

}  // namespace wainscot::bench
