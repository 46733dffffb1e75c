#pragma once

#include <string>

#include "io/draw/wall_plan.hpp"

namespace wainscot {

/// A DXF document (version AC1015), a unit a metre of the map frame: lines on the layer walls, a polyline on path, the
/// frame's axes on axes, texts on notes.
std::string wall_plan_dxf(const WallPlan& plan);

}  // namespace wainscot
