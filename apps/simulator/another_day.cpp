#include "apps/simulator/another_day.hpp"

#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/simulator/furnish.hpp"
#include "apps/simulator/random.hpp"
#include "apps/simulator/route_planner.hpp"
#include "apps/simulator/surfaces.hpp"
#include "core/errors.hpp"

namespace wainscot::simulator {

namespace {

double way_m(const std::vector<Waypoint>& route) {
  double sum = 0.0;
  for (std::size_t i = 1; i < route.size(); ++i) sum += norm(route[i].point - route[i - 1].point);
  return sum;
}

void move_some_furniture(const DayOptions& options, Random& random, Plan& plan) {
  constexpr int kTries = 200;
  Plan bare = plan;
  bare.furniture.clear();
  const std::vector<Surface> walls = surfaces_of(bare).flat;
  const int wanted = options.least_moved + random.below(options.most_moved - options.least_moved + 1);
  std::vector<bool> moved(plan.furniture.size(), false);
  int done = 0;
  for (int k = 0; k < kTries && done < wanted && !plan.furniture.empty(); ++k) {
    const auto i = static_cast<std::size_t>(random.below(static_cast<int>(plan.furniture.size())));
    if (moved[i]) continue;
    Furniture item = plan.furniture[i];
    const double away_m = random.uniform(0.4, 1.5);
    item.centre = rounded(item.centre + away_m * direction(random.uniform(-kPi, kPi)));
    const double turned_rad = (item.heading_deg + random.uniform(-25.0, 25.0)) * kDegree_rad;
    item.heading_deg = rounded(nearest_angle(turned_rad) / kDegree_rad, 1.0);
    if (!stands_clear(plan, walls, i, footprint(item))) continue;
    plan.furniture[i] = std::move(item);
    moved[i] = true;
    ++done;
  }
}

/// Between places of the first day's way, in any order; empty where the furniture leaves no way.
std::vector<Waypoint> other_route(const Plan& plan, double wanted_m, Random& random) {
  constexpr double kLeastWay_m = 1.5;
  constexpr int kTries = 400;
  const FloorGrid grid(plan, plan.robot.radius_m + 0.08);
  const auto some = [&] {
    return plan.route[static_cast<std::size_t>(random.below(static_cast<int>(plan.route.size())))].point;
  };
  std::vector<Waypoint> route;
  for (int k = 0; k < kTries && way_m(route) < wanted_m; ++k) {
    const Point goal = some();
    if (grid.clearance_m(goal) < plan.robot.radius_m + 0.1) continue;
    if (route.empty()) {
      route.push_back({goal});
      continue;
    }
    if (norm(goal - route.back().point) < kLeastWay_m) continue;
    const auto way = grid.way(route.back().point, goal, nullptr);
    if (!way) continue;
    for (std::size_t i = 1; i < way->size(); ++i) {
      Waypoint next{rounded((*way)[i])};
      next.turn_on_spot = random.chance(0.15);
      if (random.chance(0.05)) next.stop_s = rounded(random.uniform(1.0, 4.0), 0.5);
      if (norm(next.point - route.back().point) > 0.03) route.push_back(next);
    }
  }
  return way_m(route) < wanted_m ? std::vector<Waypoint>{} : route;
}

void draw_day(std::uint64_t seed, const std::string& day, Defects& defects) {
  const auto anew = [&](Knob& knob, const char* name) {
    Random random(seed, name + day);
    knob = Knob::fixed(knob.draw(random));
  };
  anew(defects.stamp_delay_s, "stamp_delay_s");
  anew(defects.clock_drift_ppm, "clock_drift_ppm");
  anew(defects.gyro_bias_rad_s, "gyro_bias_rad_s");
  // A motor runs nearly as fast as the day before.
  constexpr double kMotorSd = 0.005;
  Random first(seed, "motor_speed_error_rel");
  const double before = defects.motor_speed_error_rel.draw(first);
  Random random(seed, "motor_speed_error_rel" + day);
  const double change = defects.motor_speed_error_rel.sd() > 0.0 ? kMotorSd * random.normal() : 0.0;
  defects.motor_speed_error_rel = Knob::fixed(before + change);
}

}  // namespace

Plan another_day(const Plan& first, std::uint64_t seed, int day, const DayOptions& options) {
  if (day <= 1) return first;
  const double first_way_m = way_m(first.route);
  constexpr int kAttempts = 50;
  for (int attempt = 0; attempt < kAttempts; ++attempt) {
    const std::string name = fmt::format(" on day {}, attempt {}", day, attempt);
    Random random(seed, "another way" + name);
    Plan plan = first;
    plan.name = fmt::format("{} on day {}", first.name.empty() ? "the plan" : first.name, day);
    plan.slips.clear();
    move_some_furniture(options, random, plan);
    const double share = random.uniform(options.least_share, options.most_share);
    plan.route = other_route(plan, share * first_way_m, random);
    draw_day(seed, fmt::format(" on day {}", day), plan.defects);
    if (!plan.route.empty()) return plan;
  }
  throw InputError("No other way leads through the places of the plan's route; give the plan more room, or day 1.");
}

}  // namespace wainscot::simulator
