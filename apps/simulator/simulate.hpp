#pragma once

// A whole simulated drive from a plan and a seed. All figures that come from it are simulated.

#include <cstdint>
#include <vector>

#include "apps/simulator/lidar.hpp"
#include "apps/simulator/plan.hpp"
#include "apps/simulator/surfaces.hpp"
#include "apps/simulator/wheels.hpp"
#include "core/drive.hpp"
#include "core/robot.hpp"

namespace wainscot::simulator {

/// What really was, for judging a map and the constants that were found with it.
struct Truth {
  Surfaces surfaces;  ///< without people
  TrueWheels wheels;
  double left_m_per_tick = 0.0;
  double right_m_per_tick = 0.0;
  /// Mean over the floors of the effective width when turning on the spot, steady slip included.
  double track_width_m = 0.0;
  double track_width_as_driven_m = 0.0;  ///< averaged over this drive's turning, with each turn's slip
  TrueLidar lidar;
  TrueGyro gyro;
  std::vector<TimedPose> trajectory;  ///< at RobotSpec::truth_rate_hz, in the frame of the house
};

struct SimulatedDrive {
  Robot robot;                      ///< as robot.yaml states it
  std::vector<WheelCounts> wheels;  ///< as wheels.csv has them: wrapped at counter_bits. Empty where `odometry` is not
  std::vector<TimedPose> odometry;  ///< headings in [-pi, pi]
  std::vector<double> beams_deg;    ///< reported angles of the columns of `scans`
  std::vector<ScanRow> scans;       ///< ranges in metres. Empty where `returns` is not
  std::vector<ReturnRow> returns;   ///< ranges in metres
  std::vector<YawRate> gyro;        ///< empty: none
  std::vector<MarkerSighting> markers;
  std::vector<SurveyedMarker> marker_map;
  std::vector<FollowedStretch> followed;  ///< empty: the plan has no lines, or none was followed
  std::vector<MeasuredLine> line_map;
  Truth truth;
};

/// What robot.yaml says of the plan's robot, whose true wheels are `wheels`: its errors are drawn from the seed.
Robot stated_robot(const Plan& plan, const TrueWheels& wheels, std::uint64_t seed);

/// The same plan and seed give the same drive, bit for bit, with one compiler and libm. Throws InputError where the
/// plan has no route or no face.
SimulatedDrive simulate(const Plan& plan, std::uint64_t seed);

}  // namespace wainscot::simulator
