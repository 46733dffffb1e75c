// What sensors below the usual cost: random simulated homes driven by robots whose counters are coarse or read seldom,
// and whose lidars are slow, sparse, narrow or short-sighted. Prints how far the maps are off and whether their
// verdicts promise too much. A robot, its home and its way are the same in each row but for what the row says; none
// has a gyro but where the row says so. All figures are simulated.
//
//   build/tests/bench/sensors --seeds 10
//   build/tests/bench/sensors --seeds 3 --only "ticks of 10 mm"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <functional>
#include <iterator>
#include <numeric>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/random_house.hpp"
#include "core/angles.hpp"
#include "tests/bench/home_rows.hpp"
#include "tests/bench/house_score.hpp"

namespace wainscot::bench {
namespace {

using simulator::Knob;
using simulator::Plan;

/// A robot with something less than the usual.
struct Reduced {
  std::string name;
  std::function<void(Plan&)> reduce;
};

void coarse_ticks(Plan& plan, double tick_m) {
  simulator::RobotSpec& robot = plan.robot;
  const double factor = 2.0 * tick_m / (std::abs(robot.left_m_per_tick) + std::abs(robot.right_m_per_tick));
  robot.left_m_per_tick *= factor;
  robot.right_m_per_tick *= factor;
}

/// Looks ahead, its beams as far apart as before.
void narrow_field(Plan& plan, double field_deg) {
  simulator::LidarSpec& lidar = plan.robot.lidar;
  lidar.beams = static_cast<int>(std::lround(lidar.beams * field_deg / lidar.field_deg));
  lidar.field_deg = field_deg;
  lidar.first_beam_deg = (lidar.clockwise ? 0.5 : -0.5) * field_deg;
  lidar.heading_deg = 0.0;
  lidar.blind_from_deg = lidar.blind_to_deg = 0.0;
}

void slow_and_sparse(Plan& plan) {
  plan.robot.lidar.turns_per_s = 5.0;
  plan.robot.lidar.beams = 200;
}

void lose_a_third(Plan& plan) { plan.defects.dropout_rate = Knob::fixed(1.0 / 3.0); }

std::vector<Reduced> all_reduced() {
  const auto ticks = [](double tick_m) { return [tick_m](Plan& plan) { coarse_ticks(plan, tick_m); }; };
  const auto counts = [](double rate_hz) { return [rate_hz](Plan& plan) { plan.robot.wheel_rate_hz = rate_hz; }; };
  const auto little_of_all = [](Plan& plan) {
    narrow_field(plan, 120.0);
    coarse_ticks(plan, 0.01);
    plan.robot.wheel_rate_hz = 4.0;
  };
  return {
      {"as usual", [](Plan&) {}},
      {"ticks of 2 mm", ticks(0.002)},
      {"ticks of 5 mm", ticks(0.005)},
      {"ticks of 10 mm", ticks(0.01)},
      {"counts at 10 Hz", counts(10.0)},
      {"counts at 4 Hz", counts(4.0)},
      {"ticks of 10 mm, counts at 4 Hz",
       [](Plan& plan) {
         coarse_ticks(plan, 0.01);
         plan.robot.wheel_rate_hz = 4.0;
       }},
      {"lidar 5 Hz, 200 beams", slow_and_sparse},
      {"the same, a third of returns missing",
       [](Plan& plan) {
         slow_and_sparse(plan);
         lose_a_third(plan);
       }},
      {"lidar sees 4 m", [](Plan& plan) { plan.robot.lidar.max_range_m = 4.0; }},
      {"lidar sees 120 degrees", [](Plan& plan) { narrow_field(plan, 120.0); }},
      {"120 degrees, 10 mm, 4 Hz", little_of_all},
      {"the same with a gyro",
       [little_of_all](Plan& plan) {
         little_of_all(plan);
         plan.robot.gyro = true;
       }},
      {"the same, 5 Hz, 200 beams, a third missing",
       [little_of_all](Plan& plan) {
         slow_and_sparse(plan);
         lose_a_third(plan);
         little_of_all(plan);
       }},
  };
}

Plan plan_of(std::uint64_t house, const Reduced& reduced) {
  Plan plan = simulator::random_house(house);
  plan.defects = simulator::calibrated(plan.defects);
  plan.uncertainties_stated = true;
  plan.robot.motion_log = simulator::MotionLog::wheels;
  plan.robot.gyro = false;
  reduced.reduce(plan);
  return plan;
}

/// Told to be good, and 19 of 20 places lie within so many times what was told, and lengths likewise.
bool claims_wrongly(const HouseScore& score, double times) {
  const ClaimScore& claims = score.claims;
  return claims.verdict.grade == Grade::good &&
         (claims.places_m > times * claims.places_told_m || claims.scale_off > times * claims.scale_told);
}

HouseScore score_of(std::uint64_t house, const Reduced& reduced) {
  HouseScore score = score_house(plan_of(house, reduced), house);
  const ClaimScore& claims = score.claims;
  fmt::print(stderr, "{}, house {}: {}\n", reduced.name, house,
             score.failure.empty()
                 ? fmt::format("{:.1f} mm, shape {:.1f} mm, {:.3f} deg; {}: {:.1f} of {:.1f} mm, {:.2f} of {:.2f} %, "
                               "{:.0f} % of poses held, {} false; odometry alone {:.0f} mm; {:.1f} s",
                               1e3 * score.path.position_rmse_m, 1e3 * score.shape.position_rmse_m,
                               kDegreesPerRadian * score.path.heading_rmse_rad, grade_name(claims.verdict.grade),
                               1e3 * claims.places_m, 1e3 * claims.places_told_m, 100.0 * claims.scale_off,
                               100.0 * claims.scale_told, 100.0 * claims.poses_held, score.closures.wrong,
                               1e3 * score.odometry.position_rmse_m, score.build_cpu_s)
                 : score.failure);
  return score;
}

template <typename Holds>
std::string count_text(const std::vector<HouseScore>& scores, Holds holds) {
  return fmt::format("{:>9}", std::count_if(scores.begin(), scores.end(), holds));
}

void print_row(const Reduced& reduced, const std::vector<HouseScore>& all) {
  std::vector<HouseScore> scores;
  std::copy_if(all.begin(), all.end(), std::back_inserter(scores),
               [](const HouseScore& score) { return score.failure.empty(); });
  std::string text = fmt::format("{:<44}{:>8}{:>8}", reduced.name, scores.size(), all.size() - scores.size());
  if (!scores.empty()) {
    text += spread_text(scores, 1, [](const HouseScore& s) { return 1e3 * s.path.position_rmse_m; });
    text += spread_text(scores, 1, [](const HouseScore& s) { return 1e3 * s.shape.position_rmse_m; });
    text += spread_text(scores, 3, [](const HouseScore& s) { return kDegreesPerRadian * s.path.heading_rmse_rad; });
    text += fmt::format("{:>9.0f}",
                        100.0 / static_cast<double>(scores.size()) *
                            std::accumulate(scores.begin(), scores.end(), 0.0,
                                            [](double sum, const HouseScore& s) { return sum + s.claims.poses_held; }));
    text += spread_text(scores, 1, [](const HouseScore& s) { return 1e3 * s.claims.places_told_m; });
    text += fmt::format("{:>9}", std::accumulate(scores.begin(), scores.end(), 0,
                                                 [](int sum, const HouseScore& s) { return sum + s.closures.wrong; }));
    text += count_text(scores, [](const HouseScore& s) { return s.claims.verdict.grade == Grade::good; });
    text += count_text(scores, [](const HouseScore& s) { return claims_wrongly(s, 1.0); });
    text += count_text(scores, [](const HouseScore& s) { return claims_wrongly(s, 2.0); });
  }
  fmt::print("{}\n", text);
  std::fflush(stdout);
}

int run(int argc, char** argv) {
  HomeRows rows{25101};
  CLI::App app("What coarse counters, slow counts and poor lidars cost, over simulated homes");
  rows.add_to(app);
  CLI11_PARSE(app, argc, argv);
  fmt::print(
      "Simulated: homes {} to {}. How many gave a map and how many none. Medians and worst of: the path (ATE, mm), the "
      "same once its scale is taken out,\nits heading (RMSE, degrees). Nodes whose stated 95 % region holds the truth "
      "(%). Within how many mm 19 of 20 places are told to lie. False closures.\nMaps told to be good; of these those "
      "whose places or lengths are off by more than is told (19 of 20), and by more than twice that.\n"
      "{:<44}{:>8}{:>8}{:>18}{:>18}{:>18}{:>9}{:>18}{:>9}{:>9}{:>9}{:>9}\n",
      rows.homes().front(), rows.homes().back(), "", "mapped", "refused", "ATE, mm", "shape, mm", "heading, deg",
      "held, %", "told, mm", "false", "good", "beyond", "twice");
  for (const Reduced& reduced : all_reduced()) {
    if (!rows.has(reduced.name)) continue;
    std::vector<HouseScore> scores;
    for (const std::uint64_t house : rows.homes()) scores.push_back(score_of(house, reduced));
    print_row(reduced, scores);
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
