#pragma once

// The first stage of a check: rows, counters and ranges each by themselves, and the log as it can be read then.

#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/check/log_contents.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

/// odometry.csv read with headings in the other unit.
struct OtherHeadings {
  double heading_unit_rad = 1.0;    ///< a degree where robot.yaml says radians, 1 where it says another unit
  std::vector<TimedPose> odometry;  ///< as Drive::odometry
  std::vector<std::size_t> breaks;  ///< as Drive::breaks
};

/// A drive read in the ways that a check needs.
struct LogReadings {
  Drive drive;                                  ///< as robot.yaml says
  std::vector<Scan> logged;                     ///< the scans with ranges as written, none left out
  std::optional<Drive> with_16_bits;            ///< where 32 bits are stated and counters jumped
  std::optional<OtherHeadings> other_headings;  ///< where there is an odometry.csv
};

struct ReadableLog {
  LogContents contents;
  Drive drive;      ///< with what was found mended, scans included
  TurnScans scans;  ///< of `drive`
  Diagnosis diagnosis;
  bool counts = true;  ///< false: a counter never counts, so that wheels and scans cannot be compared
};

/// Throws `PoorData` without odometry, and where hardly any scan is left.
ReadableLog readable_log(const LogReadings& readings);

}  // namespace wainscot
