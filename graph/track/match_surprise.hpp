#pragma once

// How far a match lies from where odometry put the scan, against what both say of their uncertainty.

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

/// A chi squared beyond this is no noise, whatever its shape: the robot slipped or was carried.
inline constexpr double kNoNoise = 50.0;

/// Of what was found against the prediction, whose covariance is in its tangent space; directions that the walls leave
/// open do not count. Three degrees of freedom.
double chi_squared_of(const IcpResult& found, const Pose2& predicted, const Eigen::Matrix3d& covariance);

/// The running mean of chi squared by degree of freedom (three), of some twenty matches, after another one.
double surprise_after(double surprise, double chi_squared);

}  // namespace wainscot
