#pragma once

// What a lidar's ranges tell by themselves: their unit, what stands for "no return", and the robot's own body.

#include <vector>

#include "core/drive.hpp"
#include "graph/check/finding.hpp"

namespace wainscot {

/// Looks at the scans as they were logged (ranges as written, none left out), and writes what mends them into `robot`.
/// `drive`: the same drive as robot.yaml reads it.
std::vector<Finding> range_findings(const std::vector<Scan>& logged, const Drive& drive, Robot& robot);

/// The scans as logged, read by `lidar`: unit, nearest and largest range, blind sectors.
std::vector<Scan> read_as(const std::vector<Scan>& logged, const LidarConstants& lidar);

}  // namespace wainscot
