#pragma once

// Dead reckoning: from counts of the wheels (or poses that the robot integrated itself) and an optional gyro to a path.
//
// Between two samples the robot is taken to drive one circular arc, which is exact for constant wheel speeds. The
// covariance of a stretch of the path grows with the way driven and the angle turned: K. S. Chong, L. Kleeman,
// "Accurate odometry and error modelling for a mobile robot", ICRA 1997. Counts that are coarse or read seldom are made
// into a smooth motion first, and what counts leave open comes on top at both ends of a stretch, however long it is.

#include <array>
#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/pose2.hpp"

namespace wainscot {

/// Small corrections to the stated constants; all zero: as stated. The first three stand for the wheels' two tick
/// constants and the track width, and serve `odometry.csv`, which has no wheels, as well.
struct OdometryCorrection {
  double distance_scale = 0.0;       ///< way driven = stated way * (1 + this)
  double turn_scale = 0.0;           ///< angle turned = stated angle * (1 + this) + curvature * way
  double curvature_rad_per_m = 0.0;  ///< what unequal wheels add
  double gyro_bias_rad_s = 0.0;      ///< added to gyro_bias_rad_s()
  /// Way driven in turns = stated way * (1 + this * turn_share): wheels that skid roll further than the robot goes.
  double slip_in_turns = 0.0;
  double gyro_scale = 0.0;  ///< rate = stated rate * (1 + this)
};

/// The motion between two consecutive samples, with the stated constants.
struct OdometryStep {
  double begin_s = 0.0;
  double end_s = 0.0;
  Tangent2 motion = Tangent2::Zero();  ///< along one arc, in the frame of its begin
  double turn_share = 0.0;             ///< of the wheels' rolling, 0: straight ahead, 1: turning on the spot
  double rolled_m = 0.0;               ///< way that the wheels rolled, mean of both: on the spot the robot goes nowhere
  double gyro_turn_rad = 0.0;          ///< the gyro's word on motion.z(); unused where gyro_share is 0
  double gyro_share = 0.0;             ///< weight of the gyro's word, 0..1, the wheels have the rest
  double turn_variance_rad2 = 0.0;     ///< of the fused turn
  double count_variance_m2 = 0.0;      ///< of the way up to any moment of the step, since counts are whole numbers,
  double count_turn_variance_rad2 = 0.0;  ///< and of the heading; 0 where poses were recorded in place of counts
  /// Of a slip that no scan would show, where none tells: along, across (m2), heading (rad2). Whoever matched the scans
  /// says so; no part of odometry's own noise.
  Eigen::Vector3d slip_variance = Eigen::Vector3d::Zero();
  bool unknown = false;  ///< a counter restarted or the odometry jumped: the motion is a guess or zero

  /// Whether an unknown step's motion is a guess after all.
  bool is_guess() const { return unknown && !motion.isZero(); }
};

/// The effective track width, or what is usual of a hobby robot (0.3 m) where robot.yaml has none.
double track_width_m(const Robot& robot);

/// The steps of a drive, wheels and gyro fused. A gyro whose bias neither the drive shows (never straight, never at
/// rest) nor robot.yaml states is left out, since a wrong bias does more harm than a gyro does good. Needs at least two
/// samples, else the result is empty.
std::vector<OdometryStep> odometry_steps(const Drive& drive);

/// The gyro's bias from where the robot stands or, failing that, goes straight, or, failing both, what robot.yaml says
/// if that is not 0; nullopt without a gyro or with none of these.
std::optional<double> gyro_bias_rad_s(const Drive& drive);

/// A path that can be asked for the pose at any time. Poses are relative to the first sample's.
class OdometryPath {
 public:
  /// Integrates the steps. `steps` may be empty; then only `empty()` may be called.
  OdometryPath(const std::vector<OdometryStep>& steps, const OdometryCorrection& correction);

  bool empty() const { return times_s_.empty(); }
  double begin_s() const { return times_s_.front(); }
  double end_s() const { return times_s_.back(); }

  /// Pose at a time, along the arc between samples; before the first and after the last sample the nearest one's.
  Pose2 pose_at(double time_s) const;

  /// Way driven, in metres, and angle turned, in radians (both without sign), from the first sample to a time.
  double way_at_m(double time_s) const;
  double turned_at_rad(double time_s) const;

 private:
  struct Place {
    std::size_t step;
    double fraction;
  };
  Place find(double time_s) const;

  std::vector<double> times_s_;
  std::vector<Pose2> poses_;
  std::vector<Tangent2> motions_;  ///< corrected, of step i from sample i to i + 1
  std::vector<double> ways_m_;
  std::vector<double> turned_rad_;
};

/// Noise of odometry along a path, as used for the covariance of a stretch.
struct OdometryNoise {
  double sd_along_m_per_sqrt_m = 0.02;
  double sd_across_m_per_sqrt_m = 0.01;  ///< sideways slip: wheels hold better across than along
  double sd_rad_per_sqrt_rad = 0.05;
  double sd_rad_per_sqrt_m = 0.02;  ///< heading noise of driving straight
};

/// What robot.yaml says of the noise, completed by what it leaves out.
OdometryNoise odometry_noise(const Robot& robot);

/// Noise that a drive was found to have, over the stated: along, across, heading.
using NoiseRatio = std::array<double, 3>;
inline constexpr NoiseRatio kAsStated{1.0, 1.0, 1.0};  ///< by what the words mean

/// Covariance of the relative pose between two times, in the tangent space of the later pose (m, rad). `begin_s` <=
/// `end_s`. A stretch over an unknown step gets standard deviations of 100 m and pi. What counts leave open at its two
/// ends is in it. `ratio`: of each step's own noise, so that the heading's carries what it puts the later way aside by.
Eigen::Matrix3d stretch_covariance(const std::vector<OdometryStep>& steps, const OdometryNoise& noise, double begin_s,
                                   double end_s, const NoiseRatio& ratio = kAsStated);

/// Sum of the steps' slip variances between two times, as stretch_covariance() sums their noise; not in that one.
Eigen::Matrix3d slip_covariance(const std::vector<OdometryStep>& steps, double begin_s, double end_s);

/// By how much whole numbers of counts put the path's pose at the begin of a sweep beside where they put the sweep as a
/// whole, in the tangent space of that pose (m, rad). What a match finds is where the sweep lies; odometry leads to the
/// same moment by the same counts, so that no residual shows it. 0 for a sweep that takes no time, or during which no
/// wheel rolls.
Eigen::Matrix3d count_covariance(const std::vector<OdometryStep>& steps, double begin_s, double sweep_s);

}  // namespace wainscot
