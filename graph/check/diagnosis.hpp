#pragma once

// What one stage of a check has to say.

#include <string>
#include <vector>

#include "core/robot.hpp"
#include "graph/check/finding.hpp"

namespace wainscot {

/// A constant that the evidence settles, beside what robot.yaml states.
struct MeasuredConstant {
  std::string name;  ///< "lidar.x_m"
  std::string unit;
  double stated = 0.0;
  double found = 0.0;
  double found_sd = 0.0;
};

struct Diagnosis {
  Robot mended;  ///< the robot that the stage was given, with the lines of its findings
  std::vector<Finding> findings;
  std::vector<MeasuredConstant> constants;
  std::vector<std::string> notes;  ///< what could not be checked, and why; one sentence each

  /// Adds a finding whose lines give `keys` as `mended` has them now: mend first, then tell.
  Finding& add(Fault fault, std::string what, std::string figure, double confidence,
               const std::vector<std::string>& keys = {}, std::string act = {});
};

}  // namespace wainscot
