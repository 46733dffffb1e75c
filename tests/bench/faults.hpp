#pragma once

// Faults to be put into simulated drives, one by one, and what mends them: for the bench and the tests of `check`.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/random.hpp"
#include "apps/simulator/simulate.hpp"
#include "graph/check/finding.hpp"
#include "graph/check/log_check.hpp"

namespace wainscot::bench {

/// A drive as files will have it.
struct FaultyDrive {
  simulator::SimulatedDrive simulated;
  simulator::RobotSpec spec;  ///< how the files are written: range_unit_m
};

struct InjectedFault {
  std::string name;
  std::vector<Fault> expected;  ///< all of these are to be found
  bool mends = true;            ///< whether what check proposes can mend the drive; a slip cannot be undone
  bool needs_wheels = false;    ///< wheels.csv rather than odometry.csv
  bool needs_scans = false;     ///< scans.csv rather than returns.csv
  std::function<void(simulator::Plan&, simulator::Random&)> before;  ///< the simulation; may be empty
  std::function<void(FaultyDrive&, simulator::Random&)> after;       ///< it; may be empty
};

const std::vector<InjectedFault>& injected_faults();

/// A short drive through a small random home. `level`: "calibrated" or "raw".
simulator::Plan short_plan(std::uint64_t house, const std::string& level);

/// The drive's first seconds only.
void cut(simulator::SimulatedDrive& drive, double seconds);

/// Writes the drive's folder, robot.yaml with all keys, reads it as `check` does and takes the folder away.
LogReadings written_and_read(const FaultyDrive& drive);

/// Does what the findings ask for: the lines of robot.yaml, and the acts that a person does to the files. Of two
/// remedies that the evidence cannot tell apart the one that `expected` names is taken.
void mend(FaultyDrive& drive, const LogCheck& check, const std::vector<Fault>& expected);

/// Whether a finding names one of the faults, by itself or as what it cannot be told from.
bool names(const Finding& finding, const std::vector<Fault>& faults);

}  // namespace wainscot::bench
