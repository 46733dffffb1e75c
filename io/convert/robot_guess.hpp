#pragma once

// What scans and wheels of a guess tell of the robot.

#include "core/robot.hpp"
#include "io/convert/direction_choice.hpp"
#include "io/convert/lidar_track.hpp"
#include "io/convert/motion_choice.hpp"

namespace wainscot {

struct RobotGuess {
  Robot robot;            ///< defaults but for what was found
  bool is_known = false;  ///< the wheels' constants and the mounting were found
};

RobotGuess guess_robot(const LidarTrack& track, const ChosenMotion& motion, const ChosenDirection& direction);

}  // namespace wainscot
