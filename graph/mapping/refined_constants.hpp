#pragma once

// What the joint adjustment found of the robot's constants, told as the keys of robot.yaml.

#include <vector>

#include "core/drive.hpp"
#include "graph/adjust/joint_adjustment.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// One row for each constant that the drive has, in the units of the file. Where the robot integrates its odometry
/// itself, ways and turns are told as factors of what it recorded.
std::vector<RefinedConstant> refined_constants(const Drive& drive, const JointResult& adjusted);

}  // namespace wainscot
