#pragma once

#include <cstddef>
#include <vector>

#include "core/drive.hpp"
#include "core/odometry.hpp"

namespace wainscot {

/// Fewer returns are a window's frame or the robot itself (chosen by hand).
inline constexpr std::size_t kFewestUsableReturns = 20;

struct UsableScans {
  std::vector<std::size_t> scans;  ///< indices into Drive::scans, ascending
  int outside_odometry = 0;        ///< left out: not wholly inside odometry's times
  int without_enough_returns = 0;  ///< left out: fewer than 20
};

/// The scans of a drive that can be matched. `steps`: not empty.
UsableScans usable_scans(const Drive& drive, const std::vector<OdometryStep>& steps);

}  // namespace wainscot
