#pragma once

// How noisy a lidar's ranges are, by its scans alone. What robot.yaml states of it sets how far a return may lie from a
// wall and how much it weighs: ten times too much, and everything fits everywhere.

#include <cstddef>
#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

/// At about one range.
struct NoiseAtRange {
  double range_m = 0.0;
  double sd_m = 0.0;
  double share = 0.0;  ///< of all returns that were looked at, 0..1
};

/// From each three neighbouring returns: inverse ranges along a straight wall obey sin(b) / r1 + sin(a) / r3 =
/// sin(a + b) / r2 exactly, with a and b the angles between the beams, wherever the wall stands. What is left is noise,
/// as in successive differences (J. von Neumann and others, Annals of Mathematical Statistics 12, 1941). The smaller
/// half counts, since the other may lie on edges; by octaves of the range, those with too few left out. Not less than
/// what the ranges' own steps make. It does not see what neighbouring returns err by together.
std::vector<NoiseAtRange> noise_by_scans(const std::vector<Scan>& scans, const LidarConstants& lidar);

/// What to use of the stated noise and that of the scans. Within a factor of three of one another, wherever a tenth of
/// the returns lie, the stated one: a data sheet is off by as much, and means more than the scans show. Else the
/// geometric mean of both, as near + per_m * range. nullopt: the stated one.
std::optional<RangeNoise> believable_noise(const RangeNoise& stated, const std::vector<NoiseAtRange>& by_scans);

/// The drive with the lidar's noise as it can be believed; a sentence in `Drive::warnings` where that is not what was
/// stated.
Drive with_believable_noise(Drive drive);

}  // namespace wainscot
