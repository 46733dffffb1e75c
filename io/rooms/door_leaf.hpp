#pragma once

// The leaf of a door that stands half open in a gap.

#include <optional>

#include <Eigen/Core>

#include "io/rooms/open_floor.hpp"

namespace wainscot {

/// As long as its hinge is away from the jamb against which it closes, or nearly.
struct DoorLeaf {
  Eigen::Vector2d hinge_m{0.0, 0.0};
  Eigen::Vector2d end_m{0.0, 0.0};   ///< the free one
  Eigen::Vector2d jamb_m{0.0, 0.0};  ///< against which it closes
  double open_rad() const;           ///< between the leaf and the opening that it closes
};

/// A thin straight thing of which one end of the gap is the free end, and that would close an opening up to the other.
/// nullopt: there is none, as where the leaf stands so far open that the gap lies between the jambs.
std::optional<DoorLeaf> half_open_leaf(const OpenFloor& floor, const Eigen::Vector2d& end_1_m,
                                       const Eigen::Vector2d& end_2_m);

}  // namespace wainscot
