#pragma once

// What the wheels' counters and the gyro say about a true motion.

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/plan.hpp"
#include "core/drive.hpp"

namespace wainscot::simulator {

/// The wheels as they really are in this drive.
struct TrueWheels {
  std::map<std::string, double> track_width_m;  ///< effective, by floor; their plain mean is RobotSpec::track_width_m
  std::map<std::string, double> left_slip_rel;  ///< steady, on the spot
  std::map<std::string, double> right_slip_rel;
};

/// Draws the seed's wheels.
TrueWheels draw_wheels(const Plan& plan, std::uint64_t seed);

/// Effective width of one floor when turning on the spot, steady slip included, metres.
double width_on_spot_m(const TrueWheels& wheels, const std::string& floor);

/// Effective width with the slip of each turn, which is less in an arc than on the spot, averaged over all turning of
/// the drive: what its wheels and its true turns agree on best.
double width_as_driven_m(const Plan& plan, const TrueWheels& wheels, const Motion& motion);

/// Counter readings over the whole motion. A wheel's surface passes v -+ w b/2 over the ground; with slip it turns
/// further by its slip, which is full when the robot turns on the spot and a tenth (its random part) or nothing (its
/// steady part) on a straight. Where the robot is carried the wheels stand still, and where its wheels part company
/// with the floor the motion says how they turn; else OdometryErrors has its say. Counters start anywhere and wrap at
/// `counter_bits`, as in the file.
std::vector<WheelCounts> count_ticks(const Plan& plan, const TrueWheels& wheels, const Motion& motion,
                                     std::uint64_t seed);

/// A gyro reads scale * turn rate + bias, and noise.
struct TrueGyro {
  double bias_rad_s = 0.0;
  double scale = 1.0;
};

TrueGyro draw_gyro(const Plan& plan, std::uint64_t seed);

/// Gyro samples over the whole motion.
std::vector<YawRate> sample_gyro(const Plan& plan, const TrueGyro& gyro, const Motion& motion, std::uint64_t seed);

/// The odometry that a robot integrates itself from these counts with its own constants (as robot.yaml would state
/// them), beginning anywhere.
std::vector<TimedPose> integrate_on_board(const std::vector<WheelCounts>& counts, const DriveConstants& constants,
                                          std::uint64_t seed);

}  // namespace wainscot::simulator
