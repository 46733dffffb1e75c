#pragma once

// How sure it is that what a robot has seen around itself is a place of the map, and not a place that the map lacks and
// that looks like one: a room that was not mapped, another house.
//
// Two hypotheses are weighed. At the place, the faces of walls that were seen lie on faces of the map, but for what was
// moved. Elsewhere, a face lies on one of the map only by chance, as often as it does at random places of the same map;
// but the place was picked as the best of all that can be told apart, so that the odds are divided by their number (the
// correction for many comparisons of C. E. Bonferroni, 1936). A face counts once, however many beams and scans met it,
// since all of them meet the same wall.

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"
#include "graph/known/known_map.hpp"
#include "scanmatch/line_map.hpp"

namespace wainscot {

/// Pieces of wall that go on in one direction.
struct SeenFace {
  Eigen::Vector2d normal;
  std::vector<Eigen::Vector2d> middles;  ///< of its pieces
};

class PlaceEvidence {
 public:
  /// `walls`: what was seen, in the robot's frame; `within_m`: how far from a wall of the map it may lie to be that
  /// wall. `map` must outlive this.
  PlaceEvidence(const KnownMap& map, const LineMap& walls, double within_m);

  /// ln of how much likelier what was seen is with the robot at `pose` (map frame) than at a place that the map lacks.
  double ln_ratio(const Pose2& pose);

  /// ln of how much likelier it is with the robot at `pose` than at another place of the map. In rooms that look alike
  /// all large faces fit in both, and what is left are small pieces, which are seen amiss more often.
  double ln_ratio_to(const Pose2& other, const Pose2& pose);

  /// ln of how many places the map has that can be told apart.
  double ln_choices() const;

 private:
  void learn_chances(double heading_rad);
  double ln_ratio_of_face(std::size_t face, const Pose2& pose) const;

  const KnownMap& map_;
  double within_m_;
  std::vector<SeenFace> faces_;
  std::vector<double> chances_;  ///< of each face, to lie on one of the map's at a place of the map
};

}  // namespace wainscot
