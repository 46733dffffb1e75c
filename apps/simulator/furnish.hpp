#pragma once

// Puts furniture into the rooms of a random home, so that a robot can still get everywhere.

#include <cstddef>
#include <vector>

#include "apps/simulator/layout.hpp"
#include "apps/simulator/surfaces.hpp"

namespace wainscot::simulator {

/// Furniture for all rooms. Every doorway can still be reached from every other one of its room by a robot of this
/// radius. `fullness`: 0 nearly empty .. 1 crowded.
std::vector<Furniture> furnish(const Layout& layout, double robot_radius_m, double fullness, Random& random);

/// The outline that a piece of furniture covers on the floor; the space between a table's legs included.
Polygon footprint(const Furniture& item);

/// Whether piece number `index` of the plan's furniture can stand with this outline: a little away from the walls'
/// faces and from all other pieces, wherever those are moved to during the drive.
bool stands_clear(const Plan& plan, const std::vector<Surface>& walls, std::size_t index, const Polygon& outline);

}  // namespace wainscot::simulator
