#pragma once

// How sure each place of a map is, as areas of a picture.

#include <array>
#include <vector>

#include "graph/map.hpp"
#include "graph/mapping/doubts.hpp"
#include "io/draw/plan_svg.hpp"

namespace wainscot {

/// Up to which standard uncertainty of its place a floor belongs to each level; what is less sure, or unknown, to a
/// level more. Each is about three times the one before; beyond the last the verdict names the place.
constexpr std::array<double, 3> kSurenessBounds_m = {0.010, 0.030, kLooseM};

/// Free floor by how sure the place of the node is (Map::place_sds_m) that is nearest on the way over free floor, in
/// squares of about 0.2 m that are whole cells of the grid: an area a level, `classes` "sure-1" (the surest) to
/// "sure-4", `name` for people ("up to 10 mm"). Of a map whose stated uncertainties mean nothing (not `are_known`) all
/// is of the last level. Floor that no way leads to from any node is left out.
std::vector<PlanArea> sureness_areas(const Map& map, bool are_known);

}  // namespace wainscot
