#pragma once

// Straights and turns on the spot, each of which gives one constant by itself: what runs of a kind must agree on, and
// where the estimate from all runs together starts.

#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/calibration_runs.hpp"
#include "graph/calibrate/run_end.hpp"
#include "graph/calibrate/run_unknowns.hpp"

namespace wainscot {

struct SimpleRun {
  std::size_t run = 0;  ///< index into CalibrationRuns::runs
  double ratio = 1.0;   ///< measured / by the stated constants
  double sd = 0.0;      ///< of the ratio
};

/// By kind, in words for people: "straight", and for each surface "turn on wood".
using SimpleRuns = std::map<std::string, std::vector<SimpleRun>>;

/// 0.3 m or more by the stated constants, hardly turned by the tape (where that says nothing, by the constants), and
/// only totals are known.
bool is_straight(const CalibrationRun& run, const DriveConstants& stated);

SimpleRuns simple_runs(const CalibrationRuns& runs, const TapeSd& tape);

/// Throws `PoorData` with the names of two runs of a kind that contradict each other, where no more than half of the
/// kind agree with one another.
void refuse_contradictions(const CalibrationRuns& runs, const SimpleRuns& kinds);

/// In closed form: the straights give one factor for both wheels, the turns of each surface its width.
Eigen::VectorXd start_values(const RunUnknowns& unknowns, const SimpleRuns& kinds);

}  // namespace wainscot
