#pragma once

// The line of robot.yaml that holds a gyro's constants as a drive found them.

#include <string>

#include "core/robot.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// "gyro: {sign: 1, scale: 0.99532, bias_rad_s: 0.012345, sd_rad_s: 0.005}" without a line end; empty where the map's
/// constants have no gyro, or the drive settled neither its scale nor its bias. A constant that it did not settle stays
/// as `robot` states it.
std::string gyro_line(const Map& map, const Robot& robot);

}  // namespace wainscot
