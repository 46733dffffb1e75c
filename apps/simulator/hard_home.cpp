#include "apps/simulator/hard_home.hpp"

namespace wainscot::simulator {

Plan hard_home(std::uint64_t seed, std::string_view place, HouseOptions options) {
  options.people = false;
  Random random(seed, place);
  Plan plan = random_house(static_cast<std::uint64_t>(random.uniform(0.0, 1e9)), options);
  plan.defects = calibrated(plan.defects);
  plan.uncertainties_stated = true;
  return plan;
}

std::vector<Passage> passages(const Plan& plan) {
  std::vector<Passage> all;
  for (std::size_t w = 0; w < plan.walls.size(); ++w) {
    const Wall& wall = plan.walls[w];
    for (std::size_t o = 0; o < wall.openings.size(); ++o) {
      if (wall.openings[o].glass) continue;
      all.push_back({w, o, wall.from + wall.openings[o].at_m * unit(wall.to - wall.from)});
    }
  }
  return all;
}

std::vector<Visit> visits(const Motion& motion, Point place, double radius_m) {
  std::vector<Visit> all;
  bool before = false;
  for (std::size_t i = 0; i < motion.states().size(); ++i) {
    const double time_s = static_cast<double>(i) * kMotionStep_s;
    const bool near = norm(motion.states()[i].position - place) < radius_m;
    if (near && !before) all.push_back({time_s, time_s});
    if (near) all.back().to_s = time_s;
    before = near;
  }
  return all;
}

}  // namespace wainscot::simulator
