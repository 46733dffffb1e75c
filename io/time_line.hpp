#pragma once

#include <vector>

#include "graph/map.hpp"

namespace wainscot {

/// What is to be added to each drive's times, so that the drives follow one another with a second between.
std::vector<double> time_shifts_s(const std::vector<TrajectoryRow>& trajectory);

/// The map with the times of nodes and trajectory on one line.
Map on_one_time_line(Map map);

}  // namespace wainscot
