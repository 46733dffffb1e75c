#pragma once

// What the errors of a map's walls do to a pose that was matched to them.
//
// A robot sees the same walls in scan after scan. Where the map has one of them a little aside, or turned, all matches
// err alike, and no number of scans makes the pose better. How much shows in one scan: each face lies off its returns
// by its own amount, beyond their noise. The covariance is that of an estimate whose observations err together in
// groups that err independently of each other, from the residuals of the groups (K.-Y. Liang, S. L. Zeger, Biometrika
// 73(1), 1986); a group is a face, since the pieces of one wall were seen from the same places.

#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

/// Covariance (tangent space of `pose`, m and rad) by what the faces of `walls` lie off the returns of a scan that was
/// matched to them, less what the noise of the returns lets expect. Of one scan it scatters, below zero too: it is to
/// be averaged, and what is negative of the mean is nothing. Zero where three faces or fewer tell nothing of it.
Eigen::Matrix3d wall_errors(const std::vector<ScanPoint>& points, const LineMap& walls, const RangeNoise& noise,
                            const Pose2& pose);

}  // namespace wainscot
