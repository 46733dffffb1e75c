#include "apps/simulator/hard_drives.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include "apps/simulator/hard_home.hpp"
#include "apps/simulator/office_building.hpp"
#include "apps/simulator/random.hpp"
#include "apps/simulator/route_planner.hpp"
#include "apps/simulator/simulate.hpp"

namespace wainscot::simulator {

Plan identical_rooms(std::uint64_t seed) {
  HouseOptions options;
  options.alike_share = 1.0;
  options.least_area_m2 = 110.0;
  return hard_home(seed, "identical rooms", options);
}

Plan slip_at_threshold(std::uint64_t seed) {
  constexpr double kNear_m = 0.3;
  constexpr std::size_t kSlips = 2;
  Plan plan = hard_home(seed, "slip at a threshold", {});
  Random random(seed, "slips");
  const Motion motion = drive_route(plan, seed);
  std::vector<Passage> all = passages(plan);
  while (plan.slips.size() < kSlips && !all.empty()) {
    const auto i = static_cast<std::size_t>(random.below(static_cast<int>(all.size())));
    const Passage passage = all[i];
    all.erase(all.begin() + static_cast<std::ptrdiff_t>(i));
    const auto count = static_cast<int>(visits(motion, passage.middle, kNear_m).size());
    if (count == 0) continue;
    plan.walls[passage.wall].openings[passage.opening].threshold = true;
    WheelSlip slip = {passage.middle, kNear_m, 1 + random.below(count), 0.0, 0.0};
    const bool spins = plan.slips.empty();
    const double way = random.uniform(0.4, 0.6);
    // One wheel may find hold before the other; a robot that slides has both wheels blocked.
    slip.left_m = rounded(spins ? way * random.uniform(0.85, 1.0) : -way, 0.001);
    slip.right_m = rounded(spins ? way * random.uniform(0.85, 1.0) : -way, 0.001);
    plan.slips.push_back(slip);
  }
  return plan;
}

Plan lifted_robot(std::uint64_t seed) {
  constexpr double kFar_m = 3.0;
  Plan plan = hard_home(seed, "lifted robot", {});
  Random random(seed, "lift");
  const FloorGrid grid(plan, plan.robot.radius_m + 0.08);
  const auto count = static_cast<double>(plan.route.size());
  for (;;) {
    const auto from = static_cast<std::size_t>(count * random.uniform(0.4, 0.55));
    const auto to = static_cast<std::size_t>(count * random.uniform(0.2, 0.8));
    const double heading = rounded(random.uniform(-180.0, 180.0), 1.0);
    if (norm(plan.route[from].point - plan.route[to].point) < kFar_m) continue;
    std::optional<std::vector<Point>> way = grid.way(plan.route[from].point, plan.route[to].point, nullptr);
    if (!way) continue;
    for (Point& p : *way) p = rounded(p);
    std::vector<Waypoint> route(plan.route.begin(), plan.route.begin() + static_cast<std::ptrdiff_t>(from) + 1);
    route.back().lift = Lift{{way->begin() + 1, way->end()}, heading};
    route.insert(route.end(), plan.route.begin() + static_cast<std::ptrdiff_t>(to) + 1, plan.route.end());
    plan.route = route;
    return plan;
  }
}

Plan narrow_lidar(std::uint64_t seed, double field_deg) {
  Plan plan = hard_home(seed, "narrow lidar", {});
  LidarSpec& lidar = plan.robot.lidar;
  lidar.beams = static_cast<int>(std::lround(lidar.beams * field_deg / lidar.field_deg));
  lidar.field_deg = field_deg;
  lidar.first_beam_deg = (lidar.clockwise ? 0.5 : -0.5) * field_deg;
  lidar.heading_deg = 0.0;
  lidar.blind_from_deg = lidar.blind_to_deg = 0.0;
  return plan;
}

Plan same_tour(std::uint64_t seed, int tours) {
  HouseOptions options;
  options.least_tour_s = options.most_tour_s = 0.0;
  options.least_drive_s = 90.0;
  options.most_drive_s = 300.0;
  Plan plan = hard_home(seed, "same tour", options);
  const std::vector<Waypoint> once = plan.route;
  for (int i = 1; i < tours; ++i) plan.route.insert(plan.route.end(), once.begin() + 1, once.end());
  return plan;
}

Plan one_hour(std::uint64_t seed) {
  HouseOptions options;
  options.least_area_m2 = 100.0;
  options.least_tour_s = options.most_tour_s = 3500.0;
  options.least_drive_s = 3400.0;
  options.most_drive_s = 4200.0;
  return hard_home(seed, "one hour", options);
}

namespace {

RobotSpec surveying_robot(Random& random) {
  RobotSpec robot;
  robot.radius_m = 0.25;
  robot.track_width_m = rounded(random.uniform(0.34, 0.42), 0.001);
  robot.wheel_rate_hz = 10.0;
  robot.speed_m_s = rounded(random.uniform(0.6, 0.9), 0.05);
  robot.turn_rate_rad_s = 1.2;
  robot.motion_log = MotionLog::odometry;
  LidarSpec& lidar = robot.lidar;
  const bool half = random.chance(0.5);
  lidar.beams = half ? 361 : 720;
  lidar.field_deg = half ? 180.0 : 360.0;
  lidar.first_beam_deg = half ? -90.0 : -180.0;
  lidar.turns_per_s = 10.0;
  lidar.max_range_m = 50.0;
  lidar.x_m = rounded(random.uniform(0.0, 0.15), 0.01);
  lidar.range_step_m = 0.01;
  lidar.all_at_once = true;
  lidar.scan_every_m = rounded(random.uniform(0.5, 2.0), 0.1);
  lidar.scan_every_deg = rounded(random.uniform(30.0, 90.0), 5.0);
  return robot;
}

// How far the robot's own odometry has turned too far at the end.
double heading_error_rad(Plan plan, std::uint64_t seed) {
  plan.robot.lidar.beams = 4;  // nobody looks at the scans
  const SimulatedDrive drive = simulate(plan, seed);
  double turned = 0.0;
  for (std::size_t i = 1; i < drive.odometry.size(); ++i) {
    turned += nearest_angle(drive.odometry[i].pose.heading_rad - drive.odometry[i - 1].pose.heading_rad);
  }
  const std::vector<TimedPose>& truth = drive.truth.trajectory;
  return turned - (truth.back().pose.heading_rad - truth.front().pose.heading_rad);
}

}  // namespace

Plan sparse_large_building(std::uint64_t seed) {
  Random random(seed, "sparse large building");
  Plan plan;
  plan.name = "large building, few scans";
  const OfficeBuilding building = office_building(950.0, random);
  plan.walls = building.walls;
  plan.furniture = building.furniture;
  plan.route = building.route;
  plan.robot = surveying_robot(random);
  plan.defects.range_noise_m = Knob::fixed(0.01);
  plan.defects.range_noise_growth_per_m = Knob::fixed(0.00002);
  plan.defects.stamp_delay_s = Knob::uniform(0.0, 0.01);
  plan.defects.left_m_per_tick_error_rel = Knob::fixed(0.0);
  plan.defects.right_m_per_tick_error_rel = Knob::fixed(0.0);
  // One wheel is a little larger than the other: over a kilometre the heading goes wrong by a quarter turn and more.
  const double wanted_rad = (random.chance(0.5) ? 1.0 : -1.0) * random.uniform(110.0, 200.0) * kDegree_rad;
  const double rest_rad = wanted_rad - heading_error_rad(plan, seed);
  const double unequal = rest_rad * plan.robot.track_width_m / building.way_m;
  plan.defects.left_m_per_tick_error_rel = Knob::fixed(rounded(-unequal / 2.0, 1e-6));
  plan.defects.right_m_per_tick_error_rel = Knob::fixed(rounded(unequal / 2.0, 1e-6));
  return plan;
}

}  // namespace wainscot::simulator
