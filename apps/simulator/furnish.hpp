#pragma once

// Puts furniture into the rooms of a random home, so that a robot can still get everywhere.

#include "apps/simulator/layout.hpp"

namespace wainscot::simulator {

/// Furniture for all rooms. Every doorway can still be reached from every other one of its room by a robot of this
/// radius. `fullness`: 0 nearly empty .. 1 crowded.
std::vector<Furniture> furnish(const Layout& layout, double robot_radius_m, double fullness, Random& random);

/// The outline that a piece of furniture covers on the floor; the space between a table's legs included.
Polygon footprint(const Furniture& item);

}  // namespace wainscot::simulator
