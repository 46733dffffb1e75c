#pragma once

// The wall's normal at each return, from its neighbours in the same scan.
//
// Returns come in the order of their angle, so neighbours are found by walking along the scan rather than by a search
// tree. A line is fitted by principal axes to those within a radius that grows with the spacing of the beams. The
// normal is left unknown where the neighbours are too few, do not lie on a line (corners, mixed returns at depth edges,
// thin legs), or where the wall is seen at a grazing angle, since there an error along the beam hardly shows.

#include <vector>

#include "core/robot.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// Standard deviation of a range in m, which grows with the range: what robot.yaml says.
struct RangeNoise {
  double near_m = 0.015;  ///< a hobby lidar's: 1 % at 1.5 m (common practice, no source)
  double per_m = 0.0;
  double at(double range_m) const { return near_m + per_m * range_m; }
};

/// Of this lidar.
RangeNoise range_noise(const LidarConstants& lidar);

/// Angle between neighbouring beams, of points in firing order: the median, since lost returns leave gaps. 0 where
/// there are fewer than two.
double beam_spacing(const std::vector<ScanPoint>& points);

struct NormalOptions {
  /// Neighbours within: a wall piece of 36 cm gives about 3 degrees at 15 mm noise (its slope errs by
  /// noise / (length * sqrt(n / 12)), n = 9).
  double radius_m = 0.18;
  /// Or within this many beam spacings where they are far apart: four on each side of a wall that is met squarely, so
  /// that nine returns make the line as above.
  double radius_in_spacings = 4.5;
  /// The return itself included. A line takes two of them; three to spare tell the variance about it to 80 % (the root
  /// of 2 / 3).
  int min_neighbours = 5;
  /// Residual of the line fit / range noise; more: not a line. With three returns to spare the root of chi squared / n
  /// is beyond 2.2 in two of 10^5 lines.
  double max_noise_ratio = 2.2;
  /// Of walls: what a line through a wall seen at a grazing angle is off by; the same as in across_variance().
  double roughness_m = 0.004;
  double min_incidence_cosine = 0.17;  ///< |normal . beam|: 80 degrees from the normal is grazing
  bool where_grazed = true;            ///< also where neighbours are far apart since the beams graze the wall
};

/// For a scan that is matched against one other: a line through a few grazing returns errs as much as what is matched
/// against it, which a match's uncertainty does not hold (chi squared 4.9 a degree of freedom in a simulated house).
inline constexpr NormalOptions kNormalsOfSingleScans{.where_grazed = false};

/// Fills `normal_x`, `normal_y` of points that are in firing order.
void estimate_normals(std::vector<ScanPoint>& points, const RangeNoise& noise, const NormalOptions& options = {});

}  // namespace wainscot
