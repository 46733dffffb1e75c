#pragma once

// Simulated: a small home on two days, and another one.

#include <vector>

#include "graph/map.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {

/// As a map's folder gives the drive back: with the scans of the nodes alone, to which the nodes count.
inline Drive as_saved(const Drive& drive, Map& map) {
  Drive saved = drive;
  saved.scans.clear();
  for (Node& node : map.graph.nodes) {
    saved.scans.push_back(drive.scans[node.scan]);
    node.scan = saved.scans.size() - 1;
  }
  return saved;
}

inline simulator::Plan first_day() {
  simulator::Plan plan = ring_house(1);
  plan.defects = simulator::calibrated(simulator::Defects());
  plan.uncertainties_stated = true;
  plan.defects.stamp_delay_s = simulator::Knob::fixed(0.02);
  return plan;
}

/// The other way round from another room; the shelf was moved, the lidar's stamps come sooner.
inline simulator::Plan second_day() {
  simulator::Plan plan = first_day();
  plan.route.clear();
  for (const simulator::Point point : {simulator::Point{5.4, 3.8},
                                       {5.4, 1.1},
                                       {1.3, 1.1},
                                       {1.2, 3.8},
                                       {5.4, 3.8},
                                       {5.4, 1.1},
                                       {1.3, 1.1},
                                       {1.2, 3.8}}) {
    plan.route.push_back({point, 0.0, false});
  }
  plan.furniture[0].centre = {1.6, 4.8};
  plan.furniture[0].heading_deg = 0.0;
  plan.defects.stamp_delay_s = simulator::Knob::fixed(0.005);
  return plan;
}

/// Rooms of other sizes.
inline simulator::Plan other_house() {
  simulator::Plan plan = first_day();
  for (simulator::Wall& wall : plan.walls) {
    for (simulator::Point* point : {&wall.from, &wall.to}) *point = {1.4 * point->x_m, 1.2 * point->y_m};
    for (simulator::Opening& opening : wall.openings) opening.at_m *= 1.2;
  }
  plan.furniture = {{"piano", simulator::FurnitureShape::box, {7.0, 5.4}, 1.4, 0.6, 20.0, 0.04}};
  for (simulator::Waypoint& waypoint : plan.route) {
    waypoint.point = {1.4 * waypoint.point.x_m, 1.2 * waypoint.point.y_m};
  }
  return plan;
}

inline MapperOptions two_threads() {
  MapperOptions options;
  options.threads = 2;
  return options;
}

}  // namespace wainscot
