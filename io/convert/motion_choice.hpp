#pragma once

// Which of the columns that agree with the lidar's motion tell of the robot's.

#include "io/convert/guess_items.hpp"
#include "io/convert/lidar_track.hpp"
#include "io/convert/log_sample.hpp"
#include "io/convert/motion_guess.hpp"

namespace wainscot {

/// Wheels where there are any, else odometry; and a gyro.
struct ChosenMotion {
  MotionGuess all;  ///< what is chosen stands in front

  const WheelGuess* wheels() const { return all.wheels.empty() ? nullptr : &all.wheels.front(); }
  const OdometryGuess* odometry() const {
    return all.wheels.empty() && !all.odometry.empty() ? &all.odometry.front() : nullptr;
  }
  const GyroGuess* gyro() const { return all.gyros.empty() ? nullptr : &all.gyros.front(); }
  /// Of wheels or odometry; nullptr: neither.
  const MotionRecords* records() const;
};

/// What the names of the wheels' columns say, as `left_before_right`.
int side_by_names(const LogSample& sample, const WheelGuess& wheels);

/// Chooses and tells, but for signs and sides, which `choose_direction` settles.
ChosenMotion choose_motion(const LogSample& sample, MotionGuess guess, const LidarTrack& track, GuessItems& items);

}  // namespace wainscot
