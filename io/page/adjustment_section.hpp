#pragma once

// What the page of explain is told of the joint adjustment: its data, and the table of the robot's constants.

#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "graph/adjust/adjustment_trace.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// What io/page/explain_walls.js reads. Each piece's returns are packed as single-precision numbers, nine a return: the
/// robot's x, y, heading (map frame), its velocity (m/s, m/s, rad/s, its own frame), the beam's angle and range
/// (lidar's frame), and 1, 0 or -1 for a turn to the left, none or one to the right.
nlohmann::ordered_json adjustment_data(const AdjustmentTrace& trace, const std::vector<RefinedConstant>& constants);

/// HTML: what robot.yaml said of each constant, what was found, and whether this drive could tell it.
std::string told_constants(const std::vector<RefinedConstant>& constants);

}  // namespace wainscot
