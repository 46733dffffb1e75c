#pragma once

// Simulated calibration runs: straights, turns on the spot, squares and triangles of a robot whose constants robot.yaml
// states wrongly, each measured at its end with a tape and by wall contact. All figures that come from it are
// simulated.

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/wheels.hpp"
#include "core/drive.hpp"
#include "core/robot.hpp"

namespace wainscot::simulator {

struct RunSet {
  int straights = 3;  ///< of 2 m, on each floor
  int turns = 3;      ///< on the spot each way, on each floor: of 90, 180, 720 degrees, and again
  int squares = 5;    ///< each way, on the first floor
  double square_m = 2.0;
  int triangles = 1;    ///< of 1.5 m each way, on the first floor
  double sd_m = 0.002;  ///< of the tape
  double sd_deg = 0.3;  ///< of a turn, by wall contact, and of the alignment at the start
};

struct SimulatedRun {
  std::string name;
  std::string floor;
  std::optional<double> forward_m;  ///< as measured; nullopt: not measured
  std::optional<double> left_m;
  double turn_deg = 0.0;
  bool whole_path = false;          ///< the counts are logged, not only their totals
  std::vector<WheelCounts> wheels;  ///< as the counters read
};

struct SimulatedRuns {
  Robot robot;  ///< as robot.yaml states it
  RunSet set;
  std::vector<SimulatedRun> runs;
  TrueWheels wheels;
  double left_m_per_tick = 0.0;  ///< true
  double right_m_per_tick = 0.0;
};

/// The plan's robot and floors; the same plan and seed have the same wheels here and in `simulate`. `repetition`: other
/// runs with the same wheels.
SimulatedRuns simulate_runs(const Plan& plan, const RunSet& set, std::uint64_t seed, int repetition = 0);

/// Writes the folder: robot.yaml, runs.csv and the logs. All or nothing. Throws InputError where `folder` is there
/// already and `replace` is not set, or is not a folder of runs, or cannot be written.
void write_runs(const SimulatedRuns& runs, const std::filesystem::path& folder);

}  // namespace wainscot::simulator
