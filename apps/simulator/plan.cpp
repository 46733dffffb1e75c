#include "apps/simulator/plan.hpp"

#include <algorithm>

namespace wainscot::simulator {

std::vector<Ridge> ridges(const Plan& plan) {
  std::vector<Ridge> found;
  for (const Wall& wall : plan.walls) {
    const Point along = unit(wall.to - wall.from);
    for (const Opening& opening : wall.openings) {
      if (!opening.threshold) continue;
      found.push_back({wall.from + (opening.at_m - opening.width_m / 2.0) * along,
                       wall.from + (opening.at_m + opening.width_m / 2.0) * along});
    }
  }
  return found;
}

const std::string& floor_at(const Plan& plan, Point point) {
  const std::string* top = &plan.floor;
  for (const Floor& part : plan.floors) {
    if (contains(part.outline, point)) top = &part.name;
  }
  return *top;
}

std::vector<std::string> floor_names(const Plan& plan) {
  std::vector<std::string> names = {plan.floor};
  for (const Floor& part : plan.floors) {
    if (std::find(names.begin(), names.end(), part.name) == names.end()) names.push_back(part.name);
  }
  return names;
}

}  // namespace wainscot::simulator
