#pragma once

// The house in a plan's file: walls with their doors, windows and mirrors, furniture and floors.

#include <string>
#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/plan_section.hpp"

namespace wainscot::simulator {

/// The list `walls`. Throws InputError, also for an opening or mirror that does not lie within its wall.
std::vector<Wall> read_walls(const PlanSection& plan);
/// The list `furniture`. Throws InputError.
std::vector<Furniture> read_furniture(const PlanSection& plan);
/// The list `floors`. Throws InputError.
std::vector<Floor> read_floors(const PlanSection& plan);

/// The lists as `read_walls` and its like read them, each with its key; `furniture` and `floors` are left out where
/// there is nothing in them.
std::string walls_text(const std::vector<Wall>& walls);
std::string furniture_text(const std::vector<Furniture>& furniture);
std::string floors_text(const std::vector<Floor>& floors);

}  // namespace wainscot::simulator
