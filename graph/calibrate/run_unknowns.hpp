#pragma once

// The unknowns that measured runs are to determine: two metres a tick, and a track width for each surface, each as a
// factor of what robot.yaml states, so that all are of order one.

#include <map>
#include <string>

#include <Eigen/Core>

#include "core/calibration_runs.hpp"
#include "graph/calibrate/run_end.hpp"

namespace wainscot {

struct RunUnknowns {
  // Places among the unknowns.
  static constexpr int kLeft = 0;
  static constexpr int kRight = 1;

  DriveConstants stated;
  std::map<std::string, int> widths;  ///< index of each surface's width among the unknowns, by the surface's name

  int count() const { return 2 + static_cast<int>(widths.size()); }

  /// The constants at `x`, of the surface whose width is the unknown `width`.
  WheelGeometry geometry(const Eigen::VectorXd& x, int width) const;

  /// All zero but one.
  Eigen::VectorXd unit(int index, double value) const;
};

/// In the order of the surfaces' names. `runs.robot.drive` has to be set.
RunUnknowns run_unknowns(const CalibrationRuns& runs);

}  // namespace wainscot
