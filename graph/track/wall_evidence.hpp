#pragma once

// What the returns of a scan say of a pose: how many lie on walls of the local map, and how many where others looked
// through.

#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "graph/track/keyframes.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/normals.hpp"
#include "scanmatch/seen_space.hpp"

namespace wainscot {

/// The local map: the walls that the keyframes from `oldest_node` on have shown. It refers to what tracking keeps.
struct LocalWalls {
  const LineMap& lines;
  const RangeNoise& noise;
  const std::vector<Keyframe>& keyframes;
  const std::vector<Pose2>& poses;  ///< of the keyframes
  int oldest_node = 0;

  /// What these keyframes saw of the square of `half_size_m` around `centre`, metres.
  SeenSpace seen(const Eigen::Vector2d& centre, double half_size_m) const;
};

struct WallEvidence {
  double on_wall = 0.0;  ///< returns that lie on a wall that faces as they do
  double in_free = 0.0;  ///< returns that lie where the floor was seen to be free
  double all = 0.0;

  /// Logarithm of the likelihood of the returns, up to what does not depend on the pose. Assumed, not measured: a
  /// return is on a wall about e times as often as anywhere else, and e^2 times as seldom where the floor is free.
  /// Neighbouring returns err together, since one piece of wall or one person holds several: five count as one, and
  /// more than 180 (a return every two degrees) say nothing new.
  double log_likelihood() const;

  /// Too much of the scan lies where nothing stood: people and moved things are less. Two robots that had been carried
  /// into another room gave 0.36 and 0.72 (simulated), the eight jumps of one real drive 0 to 0.08.
  bool is_contradicted() const { return in_free > 0.25 * on_wall; }
};

/// Of at most some 240 of the returns, evenly chosen, at `pose`.
WallEvidence wall_evidence(const std::vector<ScanPoint>& points, const Pose2& pose, const LocalWalls& walls,
                           const SeenSpace& space);

/// Returns in free floor / returns where the floor was seen, at `pose`; 0 where less than a fifth lies where it was
/// seen.
double contradiction(const std::vector<ScanPoint>& points, const Pose2& pose, const SeenSpace& space);

}  // namespace wainscot
