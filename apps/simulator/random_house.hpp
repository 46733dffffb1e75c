#pragma once

// A furnished home of 60 to 200 m2, a robot and a drive through all its rooms, all from one number.

#include <cstdint>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// The same number gives the same plan. Rooms around halls with rings in most homes, walls of 8 to 30 cm, some slanted
/// walls and bays, furniture, carpets, thresholds, panes, up to two people; one home in ten has
/// rooms that look alike; robots of all kinds. The route passes every
/// room that a robot can reach, comes back to places and ends near its start, 3 to 8 minutes at the robot's speed.
Plan random_house(std::uint64_t number);

}  // namespace wainscot::simulator
