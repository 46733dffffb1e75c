#pragma once

// Plans that several tests of the simulator use.

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// One empty room of 6 m x 4 m between the faces, its lower left face corner at the origin, no openings.
inline Plan empty_room() {
  Plan plan;
  plan.name = "empty room";
  const double t = 0.2;
  plan.walls = {{{-t, -t / 2}, {6.0 + t, -t / 2}, t, {}},
                {{6.0 + t / 2, -t}, {6.0 + t / 2, 4.0 + t}, t, {}},
                {{-t, 4.0 + t / 2}, {6.0 + t, 4.0 + t / 2}, t, {}},
                {{-t / 2, -t}, {-t / 2, 4.0 + t}, t, {}}};
  plan.route = {{{1.0, 1.0}}, {{5.0, 1.0}}, {{5.0, 3.0}}, {{1.0, 3.0}}, {{1.0, 1.2}}};
  plan.robot.lidar.range_step_m = 0.0;
  plan.defects = perfect(Defects());
  return plan;
}

/// Two rooms with a doorway, a threshold and a pane between them, furniture of every shape, a carpet.
inline Plan two_rooms() {
  Plan plan = empty_room();
  plan.name = "two rooms";
  Wall between = {{3.0, 0.0}, {3.0, 4.0}, 0.1, {}};
  between.openings.push_back({1.0, 0.9, DoorLeaf{true, true, 90.0}, false, true});
  between.openings.push_back({3.2, 0.8, std::nullopt, true, false});
  plan.walls.push_back(between);
  plan.furniture = {{"shelf", FurnitureShape::box, {0.2, 3.0}, 1.0, 0.3, 90.0, 0.04},
                    {"plant", FurnitureShape::round, {5.5, 0.5}, 0.4, 0.4, 0.0, 0.04},
                    {"table", FurnitureShape::legs, {5.0, 3.2}, 1.2, 0.8, 10.0, 0.05}};
  plan.floors = {{"carpet", {{3.0, 0.0}, {6.0, 0.0}, {6.0, 4.0}, {3.0, 4.0}}}};
  plan.route = {{{0.8, 1.0}, 0.0, false}, {{4.2, 1.0}, 0.0, false}, {{4.2, 2.2}, 1.0, true},
                {{4.2, 1.0}, 0.0, true},  {{0.8, 1.0}, 0.0, false}, {{0.8, 1.8}, 0.0, false}};
  return plan;
}

}  // namespace wainscot::simulator
