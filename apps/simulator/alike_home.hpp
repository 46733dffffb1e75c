#pragma once

// A home whose rooms look alike: equal rooms with equal furniture along both sides of a hall, one side the mirror image
// of the other. Nothing but the way driven tells such rooms apart, so they are the hardest test of loop closure.

#include "apps/simulator/layout.hpp"

namespace wainscot::simulator {

struct AlikeHome {
  Layout layout;
  std::vector<Furniture> furniture;
};

/// Options as for a random layout, robot radius and fullness as for furnishing.
AlikeHome alike_home(const LayoutOptions& options, double robot_radius_m, double fullness, Random& random);

}  // namespace wainscot::simulator
