// What skidding costs: random simulated homes driven by a robot whose wheels or tracks slip when it turns, with the
// track width measured by a ruler or calibrated, on one floor or on floors that differ, fast and slow, with and without
// a gyro. Prints how far dead reckoning and the finished map's path are off. A robot, its home and its way are the same
// in each row but for what the row says; at another speed the hand that drives takes another way. All figures are
// simulated. apps/TRACKS.md explains the table.
//
//   build/tests/bench/tracks --seeds 10
//   build/tests/bench/tracks --seeds 3 --only "slip 15 %, ruler"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <iterator>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/random_house.hpp"
#include "apps/simulator/simulate.hpp"
#include "core/angles.hpp"
#include "core/errors.hpp"
#include "core/trajectory_error.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/bench/home_rows.hpp"
#include "tests/bench/house_score.hpp"

namespace wainscot::bench {
namespace {

using simulator::Knob;

/// A robot on its floors. The knobs of `wainscot simulate` that they are stand beside them.
struct Skid {
  const char* name;
  double slip = 0.15;      ///< slip_steady_rel: turning on the spot, both sides roll so much further than the ground
  bool calibrated = true;  ///< robot.yaml has the effective track width to 1 %, or the one that a ruler shows
  bool stated = true;      ///< and says how sure that is: the wheels to 0.1 %, the width to 1 %
  double width_off = 0.0;  ///< track_width_error_rel: calibrated on a floor whose width is larger by this
  double floors_differ = 0.0;   ///< surface_track_width_spread_rel, within one home
  double comes_and_goes = 0.1;  ///< slip_random_rel
  bool gyro = false;
  double speed_m_s = 0.3;
  double turn_rate_rad_s = 0.8;
  double slip_turn_squared = 0.0;  ///< slip_turn_squared_rel: and more with the square of the turn rate
  double stamp_delay_s = 0.015;    ///< stamp_delay_s
};

std::vector<Skid> all_skids() {
  std::vector<Skid> all;
  const auto add = [&](const char* name, auto change) {
    Skid skid{name};
    change(skid);
    all.push_back(skid);
  };
  add("no slip at all", [](Skid& s) { s.slip = s.comes_and_goes = 0.0; });
  add("two wheels and a castor", [](Skid& s) { s.slip = 0.0, s.comes_and_goes = 0.035; });
  add("slip 5 %, ruler", [](Skid& s) { s.slip = 0.05, s.calibrated = s.stated = false; });
  add("slip 5 %, calibrated", [](Skid& s) { s.slip = 0.05; });
  add("slip 15 %, ruler", [](Skid& s) { s.calibrated = s.stated = false; });
  add("slip 15 %, calibrated", [](Skid&) {});
  add("slip 15 %, calibrated, not stated", [](Skid& s) { s.stated = false; });
  add("slip 30 %, ruler", [](Skid& s) { s.slip = 0.3, s.calibrated = s.stated = false; });
  add("slip 30 %, calibrated", [](Skid& s) { s.slip = 0.3; });
  add("slip 30 %, calibrated, not stated", [](Skid& s) { s.slip = 0.3, s.stated = false; });
  add("slip 30 %, comes and goes by 20 %", [](Skid& s) { s.slip = 0.3, s.comes_and_goes = 0.2; });
  add("slip 15 %, comes and goes by 3.5 %", [](Skid& s) { s.comes_and_goes = 0.035; });
  add("slip 15 %, comes and goes by 20 %", [](Skid& s) { s.comes_and_goes = 0.2; });
  add("calibrated on a floor 10 % off", [](Skid& s) { s.width_off = 0.1; });
  add("floors differ by 5 %", [](Skid& s) { s.floors_differ = 0.05; });
  add("floors differ by 10 %", [](Skid& s) { s.floors_differ = 0.1; });
  add("floors differ by 20 %", [](Skid& s) { s.floors_differ = 0.2; });
  add("gyro, slip 15 %, calibrated", [](Skid& s) { s.gyro = true; });
  add("gyro, slip 15 %, ruler", [](Skid& s) { s.gyro = true, s.calibrated = s.stated = false; });
  add("gyro, floors differ by 20 %", [](Skid& s) { s.gyro = true, s.floors_differ = 0.2; });
  add("gyro, comes and goes by 20 %", [](Skid& s) { s.gyro = true, s.comes_and_goes = 0.2; });
  add("0.2 m/s", [](Skid& s) { s.speed_m_s = 0.2; });
  add("0.4 m/s", [](Skid& s) { s.speed_m_s = 0.4; });
  add("0.8 m/s", [](Skid& s) { s.speed_m_s = 0.8; });
  add("turns at 0.4 rad/s, slip grows", [](Skid& s) { s.turn_rate_rad_s = 0.4, s.slip_turn_squared = 0.05; });
  add("turns at 0.8 rad/s, slip grows", [](Skid& s) { s.slip_turn_squared = 0.05; });
  add("turns at 1.6 rad/s, slip grows", [](Skid& s) { s.turn_rate_rad_s = 1.6, s.slip_turn_squared = 0.05; });
  add("stamps 0.1 s late", [](Skid& s) { s.stamp_delay_s = 0.1; });
  add("stamps 0.3 s late", [](Skid& s) { s.stamp_delay_s = 0.3; });
  return all;
}

simulator::Plan plan_of(std::uint64_t house, const Skid& skid) {
  simulator::Plan plan = simulator::random_house(house);
  plan.defects = simulator::calibrated(plan.defects);
  simulator::Defects& defects = plan.defects;
  defects.slip_steady_rel = Knob::fixed(skid.slip);
  defects.slip_random_rel = Knob::fixed(skid.comes_and_goes);
  defects.surface_track_width_spread_rel = Knob::fixed(skid.floors_differ);
  defects.slip_turn_squared_rel = Knob::fixed(skid.slip_turn_squared);
  defects.stamp_delay_s = Knob::fixed(skid.stamp_delay_s);
  // The error is against the width as driven, which is 1 + slip times the one between the tracks' middles.
  defects.track_width_error_rel = Knob::normal(skid.calibrated ? skid.width_off : 1.0 / (1.0 + skid.slip) - 1.0, 0.01);
  plan.uncertainties_stated = skid.stated;
  plan.robot.motion_log = simulator::MotionLog::wheels;
  plan.robot.gyro = skid.gyro;
  plan.robot.speed_m_s = skid.speed_m_s;
  plan.robot.turn_rate_rad_s = skid.turn_rate_rad_s;
  return plan;
}

/// What is printed of one home.
struct Cost {
  double after_10_m_m = 0.0;     ///< dead reckoning: root mean square over all stretches of 10 m of way
  double after_turn_rad = 0.0;   ///< and of the heading, over all stretches of one whole turn
  double odometry_m = 0.0;       ///< its distance from the true path over the whole drive, aligned
  double map_m = 0.0;            ///< the same of the map's path,
  double shape_m = 0.0;          ///< once its scale is taken out,
  double scale_error = 0.0;      ///< how much too long its lengths are, as a fraction; without a sign
  double map_heading_rad = 0.0;  ///< and of its headings
  std::size_t warnings = 0;      ///< that came with the map
};

Cost cost_of(std::uint64_t house, const Skid& skid) {
  const simulator::Plan plan = plan_of(house, skid);
  const simulator::SimulatedDrive simulated = simulator::simulate(plan, house);
  const Drive drive = written_and_read(simulated, plan.robot);
  MapperOptions options;
  options.threads = 1;
  const Map map = build_map(drive, options);
  std::vector<TimedPose> path;
  std::vector<TimedPose> odometry;
  for (const TrajectoryRow& row : map.trajectory) {
    path.push_back({row.time_s, row.pose});
    odometry.push_back({row.time_s, row.odometry});
  }
  const std::vector<TimedPose>& truth = simulated.truth.trajectory;
  const TrajectoryError found = absolute_trajectory_error(path, truth);
  Cost cost;
  cost.after_10_m_m = relative_error_by_way(odometry, truth, 10.0).position_rmse_m;
  cost.after_turn_rad = relative_error_by_turn(odometry, truth).heading_rmse_rad;
  cost.odometry_m = absolute_trajectory_error(odometry, truth).position_rmse_m;
  const TrajectoryError shape = absolute_trajectory_error(path, truth, Alignment::with_scale);
  cost.map_m = found.position_rmse_m;
  cost.shape_m = shape.position_rmse_m;
  cost.scale_error = std::abs(1.0 / shape.scale - 1.0);
  cost.map_heading_rad = found.heading_rmse_rad;
  cost.warnings = map.warnings.size();
  fmt::print(stderr, "{}, house {}: {:.0f} mm after 10 m, {:.0f} mm by odometry, {:.1f} mm, {} warnings\n", skid.name,
             house, 1e3 * cost.after_10_m_m, 1e3 * cost.odometry_m, 1e3 * cost.map_m, cost.warnings);
  return cost;
}

void print_row(const Skid& skid, const std::vector<Cost>& costs, int seeds) {
  std::string text = fmt::format("{:<36}", skid.name);
  if (!costs.empty()) {
    text += spread_text(costs, 0, [](const Cost& c) { return 1e3 * c.after_10_m_m; });
    text += spread_text(costs, 1, [](const Cost& c) { return kDegreesPerRadian * c.after_turn_rad; });
    text += spread_text(costs, 0, [](const Cost& c) { return 1e3 * c.odometry_m; });
    text += spread_text(costs, 1, [](const Cost& c) { return 1e3 * c.map_m; });
    text += spread_text(costs, 1, [](const Cost& c) { return 1e3 * c.shape_m; });
    text += spread_text(costs, 2, [](const Cost& c) { return 100.0 * c.scale_error; });
    text += spread_text(costs, 3, [](const Cost& c) { return kDegreesPerRadian * c.map_heading_rad; });
  }
  const auto warned = std::count_if(costs.begin(), costs.end(), [](const Cost& c) { return c.warnings > 0; });
  fmt::print("{}{:>9}{:>9}\n", text, warned, seeds - static_cast<int>(costs.size()));
  std::fflush(stdout);
}

int run(int argc, char** argv) {
  HomeRows rows{9501};
  CLI::App app("What it costs that tracks and skid-steered wheels slip, over simulated homes");
  rows.add_to(app);
  CLI11_PARSE(app, argc, argv);
  fmt::print(
      "Simulated: homes {} to {}. Medians and worst of: dead reckoning's error after 10 m of way (mm), that of its "
      "heading after a whole turn (degrees),\nover the whole drive (ATE, mm); the map's path (ATE, mm), the same once "
      "its scale is taken out, how far that scale is off (%), and its heading (degrees).\nHow many maps came with a "
      "warning; drives that gave none.\n{:<36}{:>18}{:>18}{:>18}{:>18}{:>18}{:>18}{:>18}{:>9}{:>9}\n",
      rows.homes().front(), rows.homes().back(), "", "after 10 m", "after a turn", "whole drive", "map", "its shape",
      "its scale", "its heading", "warned", "no map");
  for (const Skid& skid : all_skids()) {
    if (!rows.has(skid.name)) continue;
    std::vector<Cost> costs;
    for (const std::uint64_t house : rows.homes()) {
      try {
        costs.push_back(cost_of(house, skid));
      } catch (const PoorData& poor) {
        fmt::print(stderr, "{}, house {}: {}\n", skid.name, house, poor.what());
      }
    }
    print_row(skid, costs, rows.seeds);
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
