#pragma once

// Whether wheels and scans tell of one motion, and how the lidar's clock stands to the wheels'.

#include <vector>

#include "core/drive.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

/// Standard deviation of what stamps are off by where nothing is wrong: half a turn of a slow lidar, a busy computer.
inline constexpr double kStampSdS = 0.03;

/// Clocks that may as well be the right ones: one and the other side of the one found, as far as stamps are off, and as
/// stated where that is no fault.
std::vector<ClockFit> other_clocks(const ClockFit& found);

struct ClockDiagnosis {
  Diagnosis diagnosis;
  bool related = true;  ///< wheels and scans can be compared
  ClockFit clock;       ///< by which: the fit, or the clocks as stated where the turns do not tell a large offset
};

/// `fit`: of the steps of `motion` against the drive's wheels. `counts`: false where a counter never counts, which
/// leaves the clocks open; `first_scan_s`: time of the first scan as logged.
ClockDiagnosis clock_diagnosis(const ClockFit& fit, const LidarMotion& motion, const Drive& drive, bool counts,
                               double first_scan_s);

}  // namespace wainscot
