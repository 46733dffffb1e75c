#pragma once

// What the correlative search of a scan in the local map is given: points on the map's lines, and ends of the scan's
// beams.

#include <vector>

#include <Eigen/Core>

#include "scanmatch/line_map.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

/// A radius that holds seven tenths of the returns, within what a raster can hold: 6 .. 25 m. `points`: not empty.
double search_radius_m(const std::vector<ScanPoint>& points);

/// Points 5 cm apart along the lines that nodes have touched since `oldest_node` and whose anchors lie within
/// `radius_m` of `centre`, map frame.
std::vector<Eigen::Vector2d> samples_near(const LineMap& map, int oldest_node, const Eigen::Vector2d& centre,
                                          double radius_m);

/// Where the returns within a radius of the lidar lie, in the scan's frame, evenly thinned to some hundreds.
std::vector<Eigen::Vector2d> ends_within(const std::vector<ScanPoint>& points, double radius_m);

}  // namespace wainscot
