#pragma once

// The square-path test (core/square_path.hpp) on those calibration runs that are squares.

#include <optional>

#include "core/calibration_runs.hpp"
#include "core/square_path.hpp"
#include "graph/calibrate/run_end.hpp"

namespace wainscot {

struct SquareTest {
  SquarePathResult found;  ///< against the constants of robot.yaml
  int clockwise = 0;
  int counter_clockwise = 0;
  double side_m = 0.0;
  std::string surface;
  WheelGeometry corrected;  ///< by the square-path test alone
};

/// Whether a logged run is a square: four sides of about one length, turned the same way by 90 degrees each.
bool is_square(const CalibrationRun& run, const DriveConstants& drive);

/// nullopt without squares both ways on one surface; the surface with most of them is taken.
std::optional<SquareTest> test_squares(const CalibrationRuns& runs);

/// E_max,syst of the same squares where odometry has other constants, metres.
double largest_systematic_m(const CalibrationRuns& runs, const SquareTest& test, const WheelGeometry& constants);

}  // namespace wainscot
