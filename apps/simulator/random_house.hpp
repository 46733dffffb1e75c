#pragma once

// A furnished home of 60 to 200 m2, a robot and a drive through all its rooms, all from one number.

#include <cstdint>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// Which homes and drives are wanted; the defaults are the ordinary ones.
struct HouseOptions {
  double least_area_m2 = 60.0;  ///< of the footprint
  double most_area_m2 = 200.0;
  double alike_share = 0.1;     ///< of the homes, those whose rooms look alike
  double least_tour_s = 200.0;  ///< for the way from room to room; 0 and 0: once into every room and back
  double most_tour_s = 380.0;
  double least_drive_s = 190.0;  ///< of the whole drive; a home that no speed brings there is thrown away
  double most_drive_s = 460.0;
  bool people = true;  ///< up to two people walk about
};

/// The same number gives the same plan. Rooms around halls with rings in most homes, walls of 8 to 30 cm, some slanted
/// walls and bays, furniture, carpets, thresholds, panes, up to two people; one home in ten has
/// rooms that look alike; robots of all kinds. The route passes every
/// room that a robot can reach, comes back to places and ends near its start, 3 to 8 minutes at the robot's speed.
Plan random_house(std::uint64_t number, const HouseOptions& house = {});

}  // namespace wainscot::simulator
