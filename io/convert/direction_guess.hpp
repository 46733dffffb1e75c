#pragma once

// Which way round things are: lidar, wheels and gyro tell only how they agree with one another. A drive and its mirror
// image, and one with front and back exchanged, give the same numbers; what robots usually are tells them apart, or a
// column's name, and how far, as odds.

#include <optional>
#include <string>
#include <vector>

#include "core/pose2.hpp"
#include "graph/motion/robot_fit.hpp"

namespace wainscot {

/// What is known before.
struct DirectionEvidence {
  std::optional<RobotFit> fit;  ///< of the wheels with the first column as the left one, or of odometry
  bool odometry = false;        ///< `fit` is of poses,
  bool flipped = false;         ///< whose y was negated to suit the headings; it may be these that run clockwise
  int names = 0;                ///< 1: the first column is called left, -1: right, 0: nothing is called so
  std::optional<bool> gyro_against_lidar;  ///< nullopt: no gyro
  bool angles_told = false;                ///< it is known where the lidar's 0 degrees are
};

/// One way in which all of it agrees.
struct Direction {
  bool mirrored = false;  ///< the lidar's angles run clockwise
  bool swapped = false;   ///< the second column is the left wheel; of odometry: it is mirrored
  bool left_backwards = false, right_backwards = false;
  bool gyro_backwards = false;
  double left_m_per_tick = 0.0, right_m_per_tick = 0.0;  ///< > 0, of the left and of the right wheel
  Pose2 mounting;                                        ///< of the lidar
  double odds = 0.0;                                     ///< 0..1, of all ways together 1
};

/// All ways, the likeliest first; at least two.
std::vector<Direction> directions(const DirectionEvidence& evidence);

/// In how many of 100 cases a property of the likeliest way holds.
template <typename Property>
int percent_of(const std::vector<Direction>& all, Property property) {
  double odds = 0.0;
  for (const Direction& direction : all) {
    if (property(direction) == property(all.front())) odds += direction.odds;
  }
  return static_cast<int>(100.0 * odds + 0.5);
}

}  // namespace wainscot
