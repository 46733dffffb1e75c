#pragma once

// Several drives of one house as one recording, so that one mapper serves both: the later drives follow the first, with
// a gap and a break between, across which nothing is known of the motion. What differs from day to day (the delay of
// the lidar's clock, its motor's speed, the gyro's bias) is taken out before, so that the mapper's constants are those
// of one robot.

#include <cstddef>
#include <span>
#include <vector>

#include "core/drive.hpp"
#include "graph/drive_part.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// What a drive's own map found of its day.
struct DayConstants {
  double time_offset_s = 0.0;  ///< to be added to the scans' times at `at_s`,
  double clock_rate = 0.0;     ///< and so much more for each second after it
  double at_s = 0.0;
  double sweep_scale = 1.0;  ///< true time of a sweep / the recorded one
};

/// Of drive number `drive` (from 1) of a map; `recording`: that drive, with the scans to which its nodes count.
DayConstants day_constants(const Map& map, const Drive& recording, int drive);

struct JoinedDrives {
  Drive drive;  ///< with the first drive's robot, whose gyro needs no correction any more
  std::vector<DrivePart> parts;
  std::vector<std::size_t> own_scan;  ///< of each scan: its index in its own drive
  std::vector<int> left_out;          ///< of each part: scans that its odometry does not cover
};

/// `days`: of each drive. `old_drives`: so many of the drives, the first ones, hold the scans of a map's nodes only.
JoinedDrives join_drives(std::span<const Drive> drives, std::span<const DayConstants> days, std::size_t old_drives);

}  // namespace wainscot
