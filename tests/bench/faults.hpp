#pragma once

// Faults to be put into simulated drives, one by one, and what mends them: for the bench and the tests of `check`.

#include <functional>
#include <string>
#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/random.hpp"
#include "graph/check/finding.hpp"
#include "graph/check/log_check.hpp"
#include "tests/bench/faulty_drive.hpp"

namespace wainscot::bench {

struct InjectedFault {
  std::string name;
  std::vector<Fault> expected;  ///< all of these are to be found, the first one before all else
  bool mends = true;            ///< whether what check proposes can mend the drive; a slip cannot be undone
  bool needs_wheels = false;    ///< wheels.csv rather than odometry.csv
  bool needs_scans = false;     ///< scans.csv rather than returns.csv
  std::function<void(simulator::Plan&, simulator::Random&)> before;  ///< the simulation; may be empty
  std::function<void(FaultyDrive&, simulator::Random&)> after;       ///< it; may be empty
  bool needs_odometry = false;                                       ///< odometry.csv rather than wheels.csv
  bool needs_gyro = false;
};

const std::vector<InjectedFault>& injected_faults();

/// What a drive must have for a fault to be put into it.
void prepare(simulator::Plan& plan, const InjectedFault& fault);

/// Does what the findings ask for: the lines of robot.yaml, and the acts that a person does to the files. Of two
/// remedies that the evidence cannot tell apart the one that `expected` names is taken.
void mend(FaultyDrive& drive, const LogCheck& check, const std::vector<Fault>& expected);

/// Whether a finding names one of the faults, by itself or as what it cannot be told from.
bool names(const Finding& finding, const std::vector<Fault>& faults);

}  // namespace wainscot::bench
