#pragma once

// From the constants that were found to what is wrong with robot.yaml or the log: the fewest faults that explain them.
//
// Wheels and scans alone cannot tell a robot from its mirror image, nor front from back: four readings of the log give
// the same fit. Each reading is compared with what robot.yaml states, by its uncertainties; that with the fewest faults
// is the likeliest, and where several have equally few, all are told. A gyro, or a lidar that sits off the middle or
// points aside, tells them apart.

#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "graph/motion/robot_fit.hpp"

namespace wainscot {

/// Which lengths are off by a factor.
enum class ScaleFault {
  none,
  left,
  right,
  ticks,
  width,
  ranges,
  left_and_width,
  right_and_width,
  ticks_and_width,
  all
};

struct Explanation {
  bool mirrored = false;         ///< the lidar's angles run the other way than robot.yaml says
  bool swapped = false;          ///< the columns of the wheels are exchanged
  bool left_backwards = false;   ///< this wheel's counter runs the other way than robot.yaml says
  bool right_backwards = false;  ///< both: the robot drives backwards
  bool turned = false;           ///< lidar.heading_deg is not what the evidence says
  bool displaced = false;        ///< nor are lidar.x_m and y_m
  ScaleFault scale = ScaleFault::none;
  double scale_chi_squared = 0.0;  ///< of the lengths as stated, 3 degrees of freedom
  /// The constants as this explanation has them; as stated where nothing is wrong with them.
  double left_m_per_tick = 0.0, right_m_per_tick = 0.0, track_width_m = 0.0;
  double range_factor = 1.0;   ///< what the ranges are to be multiplied by
  Pose2 mounting;              ///< as found, wrong or not
  double turned_rad = 0.0;     ///< found - stated, in (-pi, pi]
  double turned_sd_rad = 0.0;  ///< standard uncertainty of that, what robot.yaml may be off included
  double displaced_m = 0.0;
  double displaced_chi_squared = 0.0;  ///< 2 degrees of freedom
  double faults = 0.0;                 ///< how many

  bool is_right_as_stated() const { return faults == 0.0; }
};

/// How far constants may be off without being at fault: robot.yaml's standard uncertainties and what is usual.
struct StatedSd {
  Eigen::Vector3d scales = Eigen::Vector3d::Zero();  ///< left, right, width, relative
  double ranges = 0.005;                             ///< relative
  double mounting_m = 0.02;
  double mounting_rad = 0.03;
};
StatedSd stated_sd(const Drive& drive);

/// All readings, those with the fewest faults first. `gyro_agrees`: whether the gyro turns the same way as the lidar;
/// nullopt: there is none, or it does not tell.
std::vector<Explanation> explanations(const RobotFit& fit, const Drive& drive, std::optional<bool> gyro_agrees);

/// Chi squared that an error without a fault exceeds once in 16,000 times, as a normal error exceeds four standard
/// deviations: 1 to 3 degrees of freedom.
double fault_gate(int degrees);

}  // namespace wainscot
