#include "apps/simulator/wheels.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "apps/simulator/simulate.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

// Turns on the spot to and fro between two floors, so that all of the slip shows.
Plan spinning() {
  Plan plan = empty_room();
  plan.floors = {{"carpet", {{3.0, 0.0}, {6.0, 0.0}, {6.0, 4.0}, {3.0, 4.0}}}};
  for (const double x : {1.5, 4.5}) {
    for (int i = 0; i < 8; ++i) {
      plan.route.push_back({{x, 2.0}, 0.0, true});
      plan.route.push_back({{x + 0.1 * std::cos(2.0 * i), 2.0 + 0.1 * std::sin(2.0 * i)}, 0.0, true});
    }
  }
  plan.robot.left_m_per_tick = plan.robot.right_m_per_tick = 1e-5;  // fine, so that rounding does not matter
  return plan;
}

struct Rolled {
  double left_m = 0.0;
  double right_m = 0.0;
  double turn_rad = 0.0;
  double way_m = 0.0;
};

// Wheels' ways and true motion between readings that satisfy `wanted`, unsigned sums.
template <typename Wanted>
Rolled rolled(const Plan& plan, std::uint64_t seed, const Wanted& wanted) {
  const Motion motion = drive_route(plan, seed);
  const std::vector<WheelCounts> counts = count_ticks(plan, draw_wheels(plan, seed), motion, seed);
  Rolled sum;
  for (std::size_t i = 1; i < counts.size(); ++i) {
    const MotionState a = motion.at(counts[i - 1].time_s);
    const MotionState b = motion.at(counts[i].time_s);
    if (!wanted(a) || !wanted(b)) continue;
    const double left = static_cast<double>(counts[i].left_ticks - counts[i - 1].left_ticks);
    const double right = static_cast<double>(counts[i].right_ticks - counts[i - 1].right_ticks);
    sum.left_m += std::abs(left * plan.robot.left_m_per_tick);
    sum.right_m += std::abs(right * plan.robot.right_m_per_tick);
    sum.turn_rad += std::abs(b.heading_rad - a.heading_rad);
    sum.way_m += norm(b.position - a.position);
  }
  return sum;
}

bool on_spot(const MotionState& s) { return s.speed_m_s < 1e-9 && std::abs(s.turn_rate_rad_s) > 0.3; }

TEST(Wheels, PerfectTicksIntegrateToTheTruth) {
  const Plan plan = two_rooms();
  const Motion motion = drive_route(plan, 5);
  const std::vector<WheelCounts> counts = count_ticks(plan, draw_wheels(plan, 5), motion, 5);
  MotionState start = motion.states().front();
  double x = start.position.x_m;
  double y = start.position.y_m;
  const double tick = plan.robot.left_m_per_tick;
  for (std::size_t i = 1; i < counts.size(); ++i) {
    const double left = tick * static_cast<double>(counts[i].left_ticks - counts[0].left_ticks);
    const double right = tick * static_cast<double>(counts[i].right_ticks - counts[0].right_ticks);
    const double before =
        start.heading_rad + tick / plan.robot.track_width_m *
                                static_cast<double>((counts[i - 1].right_ticks - counts[0].right_ticks) -
                                                    (counts[i - 1].left_ticks - counts[0].left_ticks));
    const double now = start.heading_rad + (right - left) / plan.robot.track_width_m;
    const double step = tick / 2.0 *
                        static_cast<double>((counts[i].left_ticks - counts[i - 1].left_ticks) +
                                            (counts[i].right_ticks - counts[i - 1].right_ticks));
    x += step * std::cos((before + now) / 2.0);
    y += step * std::sin((before + now) / 2.0);
    const MotionState truth = motion.at(counts[i].time_s);
    // Two counters, each read to a whole tick.
    EXPECT_NEAR(now, truth.heading_rad, 2.0 * tick / plan.robot.track_width_m);
    EXPECT_NEAR(x, truth.position.x_m, 0.004);
    EXPECT_NEAR(y, truth.position.y_m, 0.004);
  }
}

TEST(Wheels, CountersWrapAtTheirBitsAndMayRunBackwards) {
  Plan plan = two_rooms();
  plan.robot.left_m_per_tick = -1e-4;
  plan.robot.counter_bits = 16;
  const Motion motion = drive_route(plan, 5);
  const TrueWheels wheels = draw_wheels(plan, 5);
  const std::vector<WheelCounts> wrapped = count_ticks(plan, wheels, motion, 5);
  plan.robot.counter_bits = 32;
  const std::vector<WheelCounts> whole = count_ticks(plan, wheels, motion, 5);
  ASSERT_EQ(wrapped.size(), whole.size());
  bool wraps = false;
  for (std::size_t i = 0; i < whole.size(); ++i) {
    EXPECT_EQ(wrapped[i].right_ticks, whole[i].right_ticks % 65536);
    EXPECT_GE(wrapped[i].left_ticks, 0);
    EXPECT_LT(wrapped[i].left_ticks, 65536);
    wraps = wraps || wrapped[i].right_ticks != whole[i].right_ticks;
  }
  EXPECT_TRUE(wraps);
  // Driving forward the left counter falls.
  const auto modulo = [](std::int64_t t) { return ((t % 65536) + 65536) % 65536; };
  EXPECT_GT(modulo(wrapped.front().left_ticks - wrapped[whole.size() / 8].left_ticks), 0);
  EXPECT_LT(modulo(wrapped.front().left_ticks - wrapped[whole.size() / 8].left_ticks), 32768);
}

TEST(Wheels, RowsComeAtTheStatedRate) {
  const Plan plan = two_rooms();
  const Motion motion = drive_route(plan, 6);
  const auto counts = count_ticks(plan, draw_wheels(plan, 6), motion, 6);
  EXPECT_NEAR(static_cast<double>(counts.size()) / motion.duration_s(), plan.robot.wheel_rate_hz, 0.5);
  for (std::size_t i = 1; i < counts.size(); ++i) EXPECT_GT(counts[i].time_s, counts[i - 1].time_s);
}

TEST(Wheels, FloorsDifferInWidthByTheirSpread) {
  Plan plan = spinning();
  plan.floors.push_back({"tiles", rectangle({1.0, 1.0}, 0.5, 0.5, 0.0)});
  plan.defects.surface_track_width_spread_rel = Knob::fixed(0.04);
  const TrueWheels wheels = draw_wheels(plan, 1);
  ASSERT_EQ(wheels.track_width_m.size(), 3U);
  double least = 1e9;
  double greatest = 0.0;
  double sum = 0.0;
  for (const auto& [floor, width] : wheels.track_width_m) {
    least = std::min(least, width);
    greatest = std::max(greatest, width);
    sum += width / 3.0;
  }
  EXPECT_NEAR(greatest - least, 0.04 * plan.robot.track_width_m, 1e-12);
  EXPECT_NEAR(sum, plan.robot.track_width_m, 1e-12);
  for (const bool east : {false, true}) {
    const Rolled r = rolled(plan, 1, [east](const MotionState& s) {
      return on_spot(s) && (s.position.x_m > 3.0) == east && std::abs(s.position.x_m - 3.0) > 0.2;
    });
    ASSERT_GT(r.turn_rad, 5.0);
    EXPECT_NEAR((r.left_m + r.right_m) / r.turn_rad, wheels.track_width_m.at(east ? "carpet" : "wood"), 0.0005);
  }
}

TEST(Wheels, SteadySlipShowsInTurnsAndNotOnStraights) {
  Plan plan = spinning();
  plan.defects.slip_steady_rel = Knob::fixed(0.05);
  const Rolled turns = rolled(plan, 2, on_spot);
  EXPECT_NEAR((turns.left_m + turns.right_m) / turns.turn_rad, 1.05 * plan.robot.track_width_m, 0.0005);
  plan.defects.hand_wobble_rad_s = Knob::fixed(0.0);
  const Rolled straights = rolled(plan, 2, [](const MotionState& s) { return std::abs(s.turn_rate_rad_s) < 1e-6; });
  EXPECT_NEAR((straights.left_m + straights.right_m) / 2.0 / straights.way_m, 1.0, 0.002);
  const TrueWheels wheels = draw_wheels(plan, 2);
  EXPECT_NEAR(width_on_spot_m(wheels, "carpet"), 1.05 * plan.robot.track_width_m, 1e-12);
}

TEST(Wheels, WidthAsDrivenCountsTheSlipOfEachTurn) {
  Plan plan = spinning();
  plan.defects.slip_steady_rel = Knob::fixed(0.05);
  const TrueWheels wheels = draw_wheels(plan, 2);
  const double width_m = plan.robot.track_width_m;
  MotionState spin;
  spin.position = {1.5, 2.0};
  spin.turn_rate_rad_s = -0.8;
  EXPECT_NEAR(width_as_driven_m(plan, wheels, Motion(std::vector<MotionState>(10, spin))), 1.05 * width_m, 1e-9);
  // One wheel stands: half of the wheels' rolling turns the robot, and half of the slip is had.
  MotionState pivot = spin;
  pivot.speed_m_s = 0.5 * 0.8 * width_m;
  EXPECT_NEAR(width_as_driven_m(plan, wheels, Motion(std::vector<MotionState>(10, pivot))), 1.025 * width_m, 1e-9);
  // Three times as much of the turning on the spot.
  std::vector<MotionState> both(30, spin);
  both.insert(both.end(), 10, pivot);
  EXPECT_NEAR(width_as_driven_m(plan, wheels, Motion(both)), 1.04375 * width_m, 1e-9);
}

TEST(Wheels, RandomSlipHasItsSizeAndItsMemory) {
  Plan plan = spinning();
  plan.defects.slip_random_rel = Knob::fixed(0.05);
  const auto scatter = [&plan](double correlation_s) {
    plan.defects.slip_correlation_s = Knob::fixed(correlation_s);
    double squares = 0.0;
    const int n = 40;
    for (std::uint64_t seed = 0; seed < static_cast<std::uint64_t>(n); ++seed) {
      const Rolled r = rolled(plan, seed, on_spot);
      const double error = (r.left_m + r.right_m) / r.turn_rad / plan.robot.track_width_m - 1.0;
      squares += error * error / n;
    }
    return std::sqrt(squares);
  };
  // A slip that lasts longer than the drive does not average out: both wheels' 5 % give 5 % / sqrt(2).
  EXPECT_NEAR(scatter(100.0), 0.05 / std::sqrt(2.0), 0.014);
  // A second's memory does, over some twenty turns of a second or two.
  const double short_memory = scatter(1.0);
  EXPECT_LT(short_memory, 0.5 * 0.05 / std::sqrt(2.0));
  EXPECT_GT(short_memory, 0.05 * 0.05 / std::sqrt(2.0));
}

TEST(Gyro, BiasScaleAndNoiseAreAsTheirKnobsSay) {
  Plan plan = spinning();
  const Motion motion = drive_route(plan, 3);
  const auto readings = [&] { return sample_gyro(plan, draw_gyro(plan, 3), motion, 3); };
  for (const YawRate& r : readings()) EXPECT_NEAR(r.yaw_rate_rad_s, motion.at(r.time_s).turn_rate_rad_s, 1e-12);
  plan.defects.gyro_bias_rad_s = Knob::fixed(0.02);
  for (const YawRate& r : readings()) EXPECT_NEAR(r.yaw_rate_rad_s - motion.at(r.time_s).turn_rate_rad_s, 0.02, 1e-12);
  plan.defects.gyro_bias_rad_s = Knob::fixed(0.0);
  plan.defects.gyro_scale_error_rel = Knob::fixed(0.01);
  for (const YawRate& r : readings()) EXPECT_NEAR(r.yaw_rate_rad_s, 1.01 * motion.at(r.time_s).turn_rate_rad_s, 1e-12);
  plan.defects.gyro_scale_error_rel = Knob::fixed(0.0);
  plan.defects.gyro_noise_rad_s = Knob::fixed(0.01);
  double squares = 0.0;
  const auto noisy = readings();
  for (const YawRate& r : noisy) squares += std::pow(r.yaw_rate_rad_s - motion.at(r.time_s).turn_rate_rad_s, 2);
  EXPECT_NEAR(std::sqrt(squares / static_cast<double>(noisy.size())), 0.01, 0.0005);
}

TEST(OnBoardOdometry, FollowsTheTruthUpToItsStart) {
  Plan plan = two_rooms();
  const Motion motion = drive_route(plan, 7);
  const auto counts = count_ticks(plan, draw_wheels(plan, 7), motion, 7);
  DriveConstants constants;
  constants.left_m_per_tick = plan.robot.left_m_per_tick;
  constants.right_m_per_tick = plan.robot.right_m_per_tick;
  constants.track_width_m = plan.robot.track_width_m;
  const auto poses = integrate_on_board(counts, constants, 7);
  ASSERT_EQ(poses.size(), counts.size());
  const MotionState end = motion.at(counts.back().time_s);
  const MotionState start = motion.states().front();
  // The same way as seen from its own start, by law of rotation.
  const double turn = poses.front().pose.heading_rad - start.heading_rad;
  const Point way = end.position - start.position;
  EXPECT_NEAR(poses.back().pose.x_m - poses.front().pose.x_m, std::cos(turn) * way.x_m - std::sin(turn) * way.y_m,
              0.005);
  EXPECT_NEAR(poses.back().pose.y_m - poses.front().pose.y_m, std::sin(turn) * way.x_m + std::cos(turn) * way.y_m,
              0.005);
}

// How far the wheels say that the robot came, less how far it came; for a straight way with one event.
double counted_too_much_m(const Plan& plan) {
  const Motion motion = drive_route(plan, 3);
  const std::vector<WheelCounts> counts = count_ticks(plan, draw_wheels(plan, 3), motion, 3);
  const auto way = [&](std::int64_t from, std::int64_t to, double m_per_tick) {
    return static_cast<double>(to - from) * m_per_tick;
  };
  const double left = way(counts.front().left_ticks, counts.back().left_ticks, plan.robot.left_m_per_tick);
  const double right = way(counts.front().right_ticks, counts.back().right_ticks, plan.robot.right_m_per_tick);
  double driven = 0.0;
  for (std::size_t i = 1; i < motion.states().size(); ++i) {
    if (motion.is_carried(static_cast<double>(i) * kMotionStep_s)) continue;
    driven += norm(motion.states()[i].position - motion.states()[i - 1].position);
  }
  return (left + right) / 2.0 - driven;
}

TEST(Wheels, CountASpinAndMissASlideAndACarriedWay) {
  Plan plan = empty_room();
  plan.route = {{{1.0, 2.0}}, {{3.0, 2.0}}, {{5.0, 2.0}}};
  EXPECT_NEAR(counted_too_much_m(plan), 0.0, 0.002);
  plan.slips = {{{2.0, 2.0}, 0.12, 1, 0.5, 0.5}};
  EXPECT_NEAR(counted_too_much_m(plan), 0.5, 0.003);
  plan.slips = {{{2.0, 2.0}, 0.12, 1, -0.5, -0.5}};
  EXPECT_NEAR(counted_too_much_m(plan), -0.5, 0.003);
  plan.slips.clear();
  plan.route[1].lift = Lift{{{4.0, 2.0}}, 0.0};
  EXPECT_NEAR(counted_too_much_m(plan), 0.0, 0.002);
}

}  // namespace
}  // namespace wainscot::simulator
