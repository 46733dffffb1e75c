#pragma once

#include <cstdint>
#include <vector>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// The lidar as it really is in this drive.
struct TrueLidar {
  double x_m = 0.0;
  double y_m = 0.0;
  double heading_rad = 0.0;
  double range_scale = 1.0;      ///< measured / true
  double turn_s = 0.0;           ///< mean time of a revolution
  double stamp_delay_s = 0.0;    ///< mean over the drive
  double clock_drift_rel = 0.0;  ///< the lidar's clock gains so many seconds a second
  std::vector<double> face_bias_m;
};

/// Draws it from the plan's defects. `faces`: how many face numbers the house has.
TrueLidar draw_lidar(const Plan& plan, int faces, std::uint64_t seed);

}  // namespace wainscot::simulator
