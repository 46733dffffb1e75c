#include "tests/bench/located_home.hpp"

#include <cmath>
#include <cstddef>
#include <vector>

#include <fmt/format.h>

#include "apps/simulator/gallery.hpp"
#include "apps/simulator/random.hpp"
#include "apps/simulator/random_house.hpp"
#include "apps/simulator/route_planner.hpp"
#include "apps/simulator/simulate.hpp"
#include "apps/simulator/write_drive.hpp"
#include "core/errors.hpp"
#include "core/trajectory_error.hpp"
#include "graph/mapping/mapper.hpp"
#include "graph/motion/usable_drive.hpp"
#include "io/log/drive_reader.hpp"
#include "io/map/map_folder.hpp"

namespace wainscot::bench {
namespace {

simulator::Plan plan_of(const std::string& kind, std::uint64_t number) {
  const bool hard = kind == "identical-rooms" || kind == "mirrored-flats";
  simulator::HouseOptions ordinary;
  ordinary.alike_share = 0.0;  // a kind of its own
  simulator::Plan plan = hard ? simulator::hard_place(kind, number) : simulator::random_house(number, ordinary);
  plan.defects = simulator::calibrated(plan.defects);
  plan.uncertainties_stated = true;
  return plan;
}

void move_furniture(simulator::Plan& plan, simulator::Random& random) {
  for (simulator::Furniture& item : plan.furniture) {
    if (!random.chance(0.4)) continue;
    item.centre.x_m += random.uniform(-0.6, 0.6);
    item.centre.y_m += random.uniform(-0.6, 0.6);
    item.heading_deg += random.uniform(-20.0, 20.0);
  }
}

/// A drive from anywhere to anywhere, again and again.
std::vector<simulator::Waypoint> wander(const simulator::Plan& plan, double way_m, simulator::Random& random) {
  const simulator::FloorGrid grid(plan, plan.robot.radius_m + 0.08);
  const std::vector<double> reach = grid.costs_from(plan.route.front().point);
  std::vector<simulator::Point> goals;
  for (int i = 0; i < grid.cells(); ++i) {
    if (std::isfinite(reach[static_cast<std::size_t>(i)]) && grid.clearance_m(grid.centre(i)) > 0.3) {
      goals.push_back(grid.centre(i));
    }
  }
  const auto some = [&] { return goals[static_cast<std::size_t>(random.below(static_cast<int>(goals.size())))]; };
  std::vector<simulator::Waypoint> route = {{some()}};
  double driven_m = 0.0;
  for (int attempt = 0; driven_m < way_m && attempt < 100; ++attempt) {
    const auto way = grid.way(route.back().point, some(), nullptr);
    if (!way) continue;
    for (std::size_t i = 1; i < way->size(); ++i) {
      if (simulator::norm((*way)[i] - route.back().point) < 0.03) continue;
      driven_m += simulator::norm((*way)[i] - route.back().point);
      route.push_back({(*way)[i], 0.0, random.chance(0.3)});
    }
  }
  return route;
}

void lift_midway(const simulator::Plan& plan, std::vector<simulator::Waypoint>& route, simulator::Random& random) {
  const simulator::FloorGrid grid(plan, plan.robot.radius_m + 0.08);
  const std::size_t from = route.size() / 2;
  for (std::size_t to = route.size() - 2; to > from; --to) {
    if (simulator::norm(route[from].point - route[to].point) < 3.0) continue;
    const auto way = grid.way(route[from].point, route[to].point, nullptr);
    if (!way) continue;
    route[from].lift = simulator::Lift{{way->begin() + 1, way->end()}, random.uniform(-180.0, 180.0)};
    // From where it is put down it drives the way before the lift back.
    std::vector<simulator::Waypoint> rest(route.begin() + static_cast<std::ptrdiff_t>(to) + 1, route.end());
    route.resize(from + 1);
    route.insert(route.end(), rest.begin(), rest.end());
    return;
  }
}

Drive simulated_drive(const simulator::Plan& plan, std::uint64_t seed, const std::filesystem::path& folder) {
  if (!std::filesystem::exists(folder)) {
    simulator::write_drive(simulator::simulate(plan, seed), plan.robot, folder);
  }
  return usable_drive(read_drive(folder));
}

/// Only the first part of the drive, so that much of the house is not in its map.
void shorten(Drive& drive) { drive.scans.resize(drive.scans.size() * 2 / 5); }

}  // namespace

std::optional<LocatedHome> home_of(const std::string& kind, std::uint64_t number, bool other_robot,
                                   const std::filesystem::path& folder) {
  simulator::Plan plan = plan_of(kind, number);
  std::filesystem::create_directories(folder);
  Drive mapped = simulated_drive(plan, number, folder / "mapped");
  if (kind == "half-mapped") shorten(mapped);
  if (!std::filesystem::exists(folder / "map")) {
    try {
      MapperOptions mapper;
      mapper.threads = 1;
      write_map(build_map(mapped, mapper), mapped, {"bench", true, true}, folder / "map", false);
    } catch (const PoorData& poor) {
      fmt::print(stderr, "{} {}: {}\n", kind, number, poor.what());
      return std::nullopt;
    }
  }
  LocatedHome home{read_map(folder / "map"), {}, std::nullopt};
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : home.saved.map.trajectory) path.push_back({row.time_s, row.pose});
  home.truth_from_map = absolute_trajectory_error(path, mapped.truth).alignment;

  simulator::Random random(number, "locate " + kind);
  if (kind == "another-house") plan = plan_of(kind, number + 100000);
  if (kind == "moved-furniture") move_furniture(plan, random);
  plan.route = wander(plan, kind == "lifted" ? 24.0 : 45.0, random);
  if (kind == "lifted") lift_midway(plan, plan.route, random);
  home.drive = simulated_drive(plan, other_robot ? number + 7777 : number, folder / "located");
  return home;
}

}  // namespace wainscot::bench
