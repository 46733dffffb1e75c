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

std::vector<double> change_times_s(const Plan& plan) {
  std::vector<double> times;
  for (const Wall& wall : plan.walls) {
    for (const Opening& opening : wall.openings) {
      if (!opening.leaf) continue;
      for (const LeafMove& move : opening.leaf->moves) times.push_back(move.from_s);
    }
  }
  for (const Furniture& item : plan.furniture) {
    for (const FurnitureMove& move : item.moves) times.push_back(move.from_s);
  }
  std::sort(times.begin(), times.end());
  times.erase(std::unique(times.begin(), times.end()), times.end());
  return times;
}

Plan house_at(const Plan& plan, double time_s) {
  Plan now = plan;
  for (Wall& wall : now.walls) {
    for (Opening& opening : wall.openings) {
      if (!opening.leaf) continue;
      for (const LeafMove& move : opening.leaf->moves) {
        if (move.from_s <= time_s) opening.leaf->open_deg = move.open_deg;
      }
      opening.leaf->moves.clear();
    }
  }
  for (Furniture& item : now.furniture) {
    for (const FurnitureMove& move : item.moves) {
      if (move.from_s > time_s) continue;
      item.centre = move.centre;
      item.heading_deg = move.heading_deg;
    }
    item.moves.clear();
  }
  return now;
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
