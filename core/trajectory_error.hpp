#pragma once

// How far an estimated path lies from the true one.
//
// Measures: J. Sturm, N. Engelhard, F. Endres, W. Burgard, D. Cremers, "A benchmark for the evaluation of RGB-D SLAM
// systems", IROS 2012. Alignment in closed form: S. Umeyama, "Least-squares estimation of transformation parameters
// between two point patterns", IEEE PAMI 13(4), 1991 (in the plane the rotation is one angle, so no decomposition is
// needed); the same as B. K. P. Horn, "Closed-form solution of absolute orientation using unit quaternions", J. Opt.
// Soc. Am. A 4(4), 1987.
//
// Rows of both paths are paired by time: the truth is interpolated on SE(2) at the estimate's times. Rows of the
// estimate outside the truth's times are left out and counted, never extrapolated. Times must not decrease within one
// path. Headings may be wrapped or not: differences are wrapped.

#include <cstddef>
#include <span>
#include <vector>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "core/pose_pairs.hpp"

namespace wainscot {

/// Which motion brings the estimate onto the truth before the differences are taken.
enum class Alignment {
  rigid,       ///< rotation and translation: scale errors count as errors
  with_scale,  ///< and one factor on all of the estimate's lengths: the shape alone counts
};

struct TrajectoryError {
  std::size_t pairs = 0;
  std::size_t outside_truth = 0;  ///< rows of the estimate before the truth begins or after it ends, left out
  Pose2 alignment;                ///< pose of the estimate's frame in the truth's frame
  double scale = 1.0;             ///< truth's lengths / estimate's lengths; 1 for Alignment::rigid

  double position_rmse_m = 0.0;  ///< the absolute trajectory error (ATE) of the literature
  double position_median_m = 0.0;
  double position_max_m = 0.0;
  double heading_rmse_rad = 0.0;
  double heading_max_rad = 0.0;
};

/// The paired rows, the estimate moved onto the truth: what a plot of the errors over time shows.
struct AlignedPath {
  Pose2 alignment;  ///< pose of the estimate's frame in the truth's frame
  double scale = 1.0;
  std::vector<PosePair> poses;  ///< both in the truth's frame
};

/// The best alignment of all paired positions. Where the positions all coincide (a robot that only turned), the
/// headings give the rotation. Throws std::invalid_argument where fewer than two rows can be paired.
AlignedPath aligned_path(std::span<const TimedPose> estimate, std::span<const TimedPose> truth,
                         Alignment alignment = Alignment::rigid);

/// Differences after the best alignment of all paired positions. Where the positions all coincide (a robot that only
/// turned), the headings give the rotation. Throws std::invalid_argument where fewer than two rows can be paired.
TrajectoryError absolute_trajectory_error(std::span<const TimedPose> estimate, std::span<const TimedPose> truth,
                                          Alignment alignment = Alignment::rigid);

/// How far relative motions are off, whatever the frames.
struct RelativePoseError {
  std::size_t pairs = 0;  ///< 0: the path is shorter than the stretch asked for, and all figures are 0
  double position_rmse_m = 0.0;
  double position_median_m = 0.0;
  double position_max_m = 0.0;
  double heading_rmse_rad = 0.0;
  double heading_max_rad = 0.0;
};

/// Relative pose error over stretches in which the true path is `way_m` long (> 0), one from each row.
RelativePoseError relative_error_by_way(std::span<const TimedPose> estimate, std::span<const TimedPose> truth,
                                        double way_m = 1.0);

/// Relative pose error over stretches in which the true heading turned by `turn_rad` (> 0) altogether, left and right
/// turns both counted; by default one whole turn.
RelativePoseError relative_error_by_turn(std::span<const TimedPose> estimate, std::span<const TimedPose> truth,
                                         double turn_rad = 6.283185307179586);

}  // namespace wainscot
