#pragma once

// Calibration runs whose true constants are known, and the stages of the estimate up to the adjustment.

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <string>

#include "core/calibration_runs.hpp"
#include "graph/calibrate/run_adjustment.hpp"
#include "graph/calibrate/run_equations.hpp"
#include "graph/calibrate/run_unknowns.hpp"
#include "graph/calibrate/simple_runs.hpp"

namespace wainscot {

/// Tape readings to 3 mm, angles to half a degree.
constexpr TapeSd kPencilMarks{0.003, 0.0087};

/// A robot with its true constants that drives runs and measures them, without error unless told.
class TapedRuns {
 public:
  TapedRuns() {
    DriveConstants stated;
    stated.left_m_per_tick = 1.2e-4;  // a fifth too large
    stated.right_m_per_tick = 1.2e-4;
    stated.track_width_m = 0.25;  // a sixth too small
    runs.robot.drive = stated;
    runs.robot.motion_noise = {0.002, 0.01};
  }

  double left = 1.001e-4;
  double right = 0.999e-4;
  double width(const std::string& surface) const { return surface == "carpet" ? 0.33 : 0.31; }

  CalibrationRun& add(const std::string& name, const std::string& surface, double way_m, double turn_deg) {
    const double around = 0.5 * turn_deg * (std::numbers::pi / 180.0) * width(surface);
    CalibrationRun run;
    run.name = name;
    run.surface = surface;
    run.wheels = {{0.0, 0, 0}, {1.0, std::llround((way_m - around) / left), std::llround((way_m + around) / right)}};
    run.turn_rad = turn_deg * (std::numbers::pi / 180.0);
    if (way_m != 0.0) {
      run.forward_m = way_m * (turn_deg == 0.0 ? 1.0
                                               : std::sin(turn_deg * (std::numbers::pi / 180.0)) /
                                                     (turn_deg * (std::numbers::pi / 180.0)));
      run.left_m = turn_deg == 0.0 ? 0.0
                                   : way_m * (1.0 - std::cos(turn_deg * (std::numbers::pi / 180.0))) /
                                         (turn_deg * (std::numbers::pi / 180.0));
    }
    runs.runs.push_back(run);
    return runs.runs.back();
  }

  void add_usual(const std::string& surface) {
    for (int i = 1; i <= 2; ++i) {
      add("straight " + surface + std::to_string(i), surface, 2.0, 1.0 - i);
      add("left " + surface + std::to_string(i), surface, 0.0, 360.0 * i);
      add("right " + surface + std::to_string(i), surface, 0.0, -360.0 * i + 3.0);
    }
  }

  /// Measurements with errors of 3 mm and half a degree, the alignment at the start included: as they are stated.
  void shake(int seed) {
    std::mt19937_64 random(static_cast<std::uint64_t>(seed));
    std::normal_distribution<double> normal;
    for (CalibrationRun& run : runs.runs) {
      const double alignment = 0.5 * (std::numbers::pi / 180.0) * normal(random);
      if (run.left_m) *run.left_m += 0.003 * normal(random) - alignment * run.forward_m.value_or(0.0);
      if (run.forward_m) *run.forward_m += 0.003 * normal(random);
      if (run.turn_rad) *run.turn_rad += 0.5 * (std::numbers::pi / 180.0) * normal(random);
    }
  }

  CalibrationRuns runs;
};

/// What the stages make of runs that determine all constants.
struct AdjustedRuns {
  RunEquations equations;
  Eigen::VectorXd start;
  RunAdjustment adjusted;

  explicit AdjustedRuns(const CalibrationRuns& runs, const TapeSd& tape = {0.003, 0.0087}) {
    const RunUnknowns unknowns = run_unknowns(runs);
    start = start_values(unknowns, simple_runs(runs, tape));
    equations = run_equations(runs, unknowns, tape, start);
    adjusted = adjust_runs(equations, start);
  }
};

}  // namespace wainscot
