#include "apps/simulator/simulate.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "apps/simulator/markers.hpp"
#include "apps/simulator/random_house.hpp"
#include "core/errors.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

/// Everything that a robot would log, as one text: two drives are the same when these are.
std::string log_of(const SimulatedDrive& drive) {
  std::string log;
  const auto add = [&log](auto value) { log.append(reinterpret_cast<const char*>(&value), sizeof value); };
  for (const WheelCounts& w : drive.wheels) {
    add(w.time_s);
    add(w.left_ticks);
    add(w.right_ticks);
  }
  for (const TimedPose& p : drive.odometry) add(p.pose.x_m);
  for (const ScanRow& row : drive.scans) {
    add(row.time_s);
    for (const float r : row.range_m) add(std::isnan(r) ? -1.0F : r);
  }
  for (const ReturnRow& r : drive.returns) add(r.range_m);
  for (const YawRate& y : drive.gyro) add(y.yaw_rate_rad_s);
  for (const MarkerSighting& seen : drive.markers) {
    add(seen.x_m);
    log += seen.marker;
    add(seen.heading_rad.value_or(9.0));
  }
  for (const SurveyedMarker& marker : drive.marker_map) add(marker.x_m);
  for (const FollowedStretch& stretch : drive.followed) {
    add(stretch.to_s);
    log += stretch.line;
  }
  for (const MeasuredLine& line : drive.line_map) add(line.x1_m);
  if (drive.robot.drive) {
    add(drive.robot.drive->left_m_per_tick);
    add(drive.robot.drive->right_m_per_tick);
    add(drive.robot.drive->track_width_m);
  }
  add(drive.robot.motion_noise.sd_m_per_sqrt_m);
  add(drive.robot.lidar.noise_m);
  return log;
}

TEST(Simulate, TheSameSeedGivesTheSameDriveAndAnotherDoesNot) {
  Plan plan = two_rooms();
  plan.defects = Defects();
  plan.robot.gyro = true;
  const std::string first = log_of(simulate(plan, 8));
  EXPECT_EQ(log_of(simulate(plan, 8)), first);
  EXPECT_NE(log_of(simulate(plan, 9)), first);
}

TEST(Simulate, EveryKnobChangesTheDrive) {
  Plan plan = two_rooms();
  plan.robot.gyro = true;
  plan.defects = perfect(Defects());
  // What a knob needs to show at all: markers to see, lines to follow, and others that are turned.
  plan.markers = lay_out_markers(plan, 4);
  plan.markers_surveyed = true;
  plan.lines = {{"along", {0.8, 1.0}, {4.2, 1.0}}, {"across", {4.2, 1.0}, {4.2, 2.2}}};
  plan.lines_measured = true;
  plan.defects.follower_noise_m = Knob::fixed(0.005);
  plan.defects.slip_random_rel = Knob::fixed(0.01);
  plan.defects.glass_return_rate = Knob::fixed(0.5);
  plan.defects.mixed_return_share = Knob::fixed(0.5);
  plan.defects.beam_width_deg = Knob::fixed(0.5);
  plan.defects.grazing_loss_begin_deg = Knob::fixed(60.0);
  plan.defects.grazing_loss_full_deg = Knob::fixed(88.0);
  plan.defects.odometry_way_error_rel = Knob::fixed(0.01);
  plan.defects.odometry_slips_per_100m = Knob::fixed(50.0);
  plan.defects.odometry_slip_m = Knob::fixed(0.1);
  plan.defects.odometry_holds_per_minute = Knob::fixed(10.0);
  plan.defects.odometry_hold_s = Knob::fixed(1.0);
  plan.defects.stamp_bursts_per_minute = Knob::fixed(10.0);
  plan.defects.stamp_burst_s = Knob::fixed(0.01);
  const std::string base = log_of(simulate(plan, 2));
  for (const KnobEntry& entry : knob_table()) {
    Plan turned = plan;
    const double now = (plan.defects.*entry.member).a;
    const double step = std::min(0.2, (entry.greatest - entry.least) / 4.0);
    turned.defects.*entry.member = Knob::fixed(now + step <= entry.greatest ? now + step : now - step);
    if (entry.name == "hand_pauses_per_minute") turned.defects.hand_pauses_per_minute = Knob::fixed(20.0);
    if (entry.name == "threshold_tilt_deg") turned.defects.threshold_tilt_deg = Knob::fixed(5.0);
    if (entry.name == "odometry_slips_per_100m") turned.defects.odometry_slips_per_100m = Knob::fixed(0.0);
    if (entry.name == "odometry_holds_per_minute") turned.defects.odometry_holds_per_minute = Knob::fixed(0.0);
    if (entry.name == "stamp_bursts_per_minute") turned.defects.stamp_bursts_per_minute = Knob::fixed(0.0);
    if (entry.name == "line_misnamed_rate") turned.defects.line_misnamed_rate = Knob::fixed(1.0);
    EXPECT_NE(log_of(simulate(turned, 2)), base) << entry.name;
  }
}

TEST(Simulate, OneKnobLeavesTheOtherDrawsAlone) {
  Plan plan = two_rooms();
  plan.defects = Defects();
  const SimulatedDrive before = simulate(plan, 3);
  plan.defects.range_noise_m = Knob::fixed(0.03);
  plan.defects.stamp_delay_s = Knob::fixed(0.0);
  const SimulatedDrive after = simulate(plan, 3);
  EXPECT_EQ(after.robot.drive->track_width_m, before.robot.drive->track_width_m);
  EXPECT_EQ(after.truth.lidar.x_m, before.truth.lidar.x_m);
  EXPECT_EQ(after.wheels.back().left_ticks, before.wheels.back().left_ticks);
  EXPECT_EQ(after.truth.trajectory.back().pose.x_m, before.truth.trajectory.back().pose.x_m);
}

TEST(Simulate, RobotYamlErrsByItsKnobs) {
  Plan plan = two_rooms();
  plan.robot.left_m_per_tick = 1.1e-4;
  plan.defects.left_m_per_tick_error_rel = Knob::fixed(0.01);
  plan.defects.right_m_per_tick_error_rel = Knob::fixed(-0.02);
  plan.defects.track_width_error_rel = Knob::fixed(0.03);
  const SimulatedDrive drive = simulate(plan, 1);
  EXPECT_NEAR(drive.robot.drive->left_m_per_tick / 1.1e-4, 1.01, 1e-5);
  EXPECT_NEAR(drive.robot.drive->right_m_per_tick / 1e-4, 0.98, 1e-5);
  EXPECT_NEAR(drive.robot.drive->track_width_m / plan.robot.track_width_m, 1.03, 1e-5);
  EXPECT_FALSE(drive.robot.drive->left_sd_m_per_tick.has_value());
}

TEST(Simulate, TheCalibratedLevelStatesUncertaintiesThatHold) {
  Plan plan = two_rooms();
  plan.defects = calibrated(Defects());
  plan.uncertainties_stated = true;
  plan.robot.lidar.beams = 4;  // only the wheels matter here
  double left = 0.0;
  double right = 0.0;
  double width = 0.0;
  const int n = 100;
  for (std::uint64_t seed = 0; seed < static_cast<std::uint64_t>(n); ++seed) {
    const SimulatedDrive drive = simulate(plan, seed);
    const DriveConstants& stated = *drive.robot.drive;
    const auto square = [](double error, double sd) { return error * error / (sd * sd); };
    left += square(stated.left_m_per_tick - drive.truth.left_m_per_tick, *stated.left_sd_m_per_tick) / n;
    right += square(stated.right_m_per_tick - drive.truth.right_m_per_tick, *stated.right_sd_m_per_tick) / n;
    width += square(stated.track_width_m - drive.truth.track_width_m, *stated.track_width_sd_m) / n;
  }
  // Mean squares of n normal deviates: 1, standard deviation sqrt(2 / n).
  const double tolerance = 4.0 * std::sqrt(2.0 / n);
  EXPECT_NEAR(left, 1.0, tolerance);
  EXPECT_NEAR(right, 1.0, tolerance);
  EXPECT_NEAR(width, 1.0, tolerance);
}

TEST(Simulate, TheStatedMotionNoiseFitsTheTrueOne) {
  Plan plan = two_rooms();
  plan.route.clear();
  for (int i = 0; i < 10; ++i) {
    plan.route.push_back({{i % 2 == 0 ? 0.8 : 4.2, 1.0}, 0.0, true});
    plan.route.push_back({{i % 2 == 0 ? 0.8 : 4.2, 2.0}, 0.0, true});
    plan.route.push_back({{i % 2 == 0 ? 0.8 : 4.2, 1.0}, 0.0, true});
  }
  plan.defects = calibrated(Defects());
  plan.robot.lidar.beams = 4;
  double squares = 0.0;
  int n = 0;
  for (std::uint64_t seed = 0; seed < 40; ++seed) {
    const SimulatedDrive drive = simulate(plan, seed);
    const double width = drive.truth.track_width_m;
    // Quarter turns and more, as the wheels count them and as they were.
    const auto& truth = drive.truth.trajectory;
    std::size_t from = 0;
    for (std::size_t i = 1; i < truth.size(); ++i) {
      const double turn = truth[i].pose.heading_rad - truth[from].pose.heading_rad;
      if (std::abs(turn) < kPi / 2.0) continue;
      const auto reading = [&](double time_s) {
        const auto row = std::find_if(drive.wheels.begin(), drive.wheels.end(),
                                      [time_s](const WheelCounts& w) { return w.time_s >= time_s - 1e-6; });
        return static_cast<double>(row->right_ticks) * drive.truth.right_m_per_tick -
               static_cast<double>(row->left_ticks) * drive.truth.left_m_per_tick;
      };
      const double counted = (reading(truth[i].time_s) - reading(truth[from].time_s)) / width;
      const double sd = drive.robot.motion_noise.sd_rad_per_sqrt_rad * std::sqrt(std::abs(turn));
      squares += (counted - turn) * (counted - turn) / (sd * sd);
      ++n;
      from = i;
    }
  }
  ASSERT_GT(n, 500);
  EXPECT_GT(std::sqrt(squares / n), 0.6);
  EXPECT_LT(std::sqrt(squares / n), 1.3);
}

Pose2 between_rows(const TimedPose& a, const TimedPose& b, double time_s) {
  const double u = (time_s - a.time_s) / (b.time_s - a.time_s);
  return {a.pose.x_m + u * (b.pose.x_m - a.pose.x_m), a.pose.y_m + u * (b.pose.y_m - a.pose.y_m),
          a.pose.heading_rad + u * (b.pose.heading_rad - a.pose.heading_rad)};
}

// The chain as a reader sees it: stated constants, stated time of a turn, the true path; no simulator code but the
// plan.
TEST(Simulate, APerfectDrivesReturnsLieOnTheHousesFaces) {
  Plan plan = random_house(7);
  plan.defects = perfect(plan.defects);
  plan.people.clear();
  plan.robot.lidar_log = LidarLog::scans;
  plan.robot.lidar.sweep_stated = true;
  plan.robot.lidar.blind_from_deg = plan.robot.lidar.blind_to_deg = 0.0;
  plan.robot.truth_rate_hz = 500.0;
  const SimulatedDrive drive = simulate(plan, 1);
  const LidarConstants& lidar = drive.robot.lidar;
  int checked = 0;
  for (std::size_t i = 0; i < drive.scans.size(); i += 40) {
    for (std::size_t k = 0; k < drive.beams_deg.size(); k += 5) {
      const double range = static_cast<double>(drive.scans[i].range_m[k]);
      if (std::isnan(range)) continue;
      const double time =
          drive.scans[i].time_s + *lidar.sweep_s * std::abs(drive.beams_deg[k] - drive.beams_deg[0]) / 360.0;
      const auto before = static_cast<std::size_t>(time * 500.0);
      const Pose2 pose = between_rows(drive.truth.trajectory[before], drive.truth.trajectory[before + 1], time);
      const double angle =
          pose.heading_rad + kDegree_rad * (lidar.heading_deg + (lidar.mirrored ? -1.0 : 1.0) * drive.beams_deg[k]);
      const Point at = Point{pose.x_m, pose.y_m} + lidar.x_m * direction(pose.heading_rad) +
                       lidar.y_m * left_of(direction(pose.heading_rad));
      EXPECT_LT(clearance_m(drive.truth.surfaces, at + range * direction(angle)), 0.001);
      // And nothing stands in the beam's way.
      EXPECT_GT(clearance_m(drive.truth.surfaces, at + 0.5 * range * direction(angle)), 0.0);
      ++checked;
    }
  }
  EXPECT_GT(checked, 3000);
}

TEST(Simulate, FormsLogWhatTheySay) {
  Plan plan = two_rooms();
  plan.robot.motion_log = MotionLog::odometry;
  plan.robot.lidar_log = LidarLog::returns;
  const SimulatedDrive drive = simulate(plan, 1);
  EXPECT_TRUE(drive.wheels.empty());
  EXPECT_FALSE(drive.robot.drive.has_value());
  EXPECT_FALSE(drive.odometry.empty());
  EXPECT_TRUE(drive.scans.empty());
  EXPECT_FALSE(drive.returns.empty());
  EXPECT_TRUE(drive.gyro.empty());
}

TEST(Simulate, RefusesAPlanWithNothingToSee) {
  Plan plan = empty_room();
  plan.walls.clear();
  EXPECT_THROW(simulate(plan, 1), InputError);
}

TEST(Simulate, RobotYamlTellsOrKeepsSilentOrExaggerates) {
  Plan plan = two_rooms();
  plan.robot.lidar.beams = 4;
  plan.defects.range_rounding_m = Knob::fixed(0.05);
  plan.defects.range_noise_per_m = Knob::fixed(0.01);
  plan.defects.odometry_way_error_rel = Knob::fixed(0.06);
  plan.defects.odometry_turn_error_deg = Knob::fixed(3.0);
  const Robot told = simulate(plan, 1).robot;
  EXPECT_NEAR(told.lidar.noise_m, 0.05 / std::sqrt(12.0), 0.001);
  EXPECT_EQ(told.lidar.noise_per_m, 0.01);
  EXPECT_NEAR(told.motion_noise.sd_m_per_sqrt_m, 0.06, 0.001);
  EXPECT_NEAR(told.motion_noise.sd_rad_per_sqrt_rad, 3.0 * kDegree_rad / std::sqrt(kPi / 4.0), 0.001);
  plan.defects.stated_range_noise_factor = Knob::fixed(3.0);
  plan.defects.stated_slip_factor = Knob::fixed(1.0 / 3.0);
  const Robot misstated = simulate(plan, 1).robot;
  EXPECT_NEAR(misstated.lidar.noise_m / told.lidar.noise_m, 3.0, 0.15);
  EXPECT_NEAR(misstated.lidar.noise_per_m / told.lidar.noise_per_m, 3.0, 0.15);
  EXPECT_NEAR(misstated.motion_noise.sd_m_per_sqrt_m / told.motion_noise.sd_m_per_sqrt_m, 1.0 / 3.0, 0.02);
  EXPECT_NEAR(misstated.motion_noise.sd_rad_per_sqrt_rad / told.motion_noise.sd_rad_per_sqrt_rad, 1.0 / 3.0, 0.02);
  plan.defects.stated_range_noise_factor = plan.defects.stated_slip_factor = Knob::fixed(1.0);
  plan.not_told = {"range_rounding_m", "range_noise_per_m", "odometry_way_error_rel", "odometry_turn_error_deg"};
  const Robot silent = simulate(plan, 1).robot;
  plan.defects = perfect(Defects());
  const Robot ordinary = simulate(plan, 1).robot;
  EXPECT_EQ(silent.lidar.noise_m, ordinary.lidar.noise_m);
  EXPECT_EQ(silent.lidar.noise_per_m, ordinary.lidar.noise_per_m);
  EXPECT_EQ(silent.motion_noise.sd_m_per_sqrt_m, ordinary.motion_noise.sd_m_per_sqrt_m);
  EXPECT_EQ(silent.motion_noise.sd_rad_per_sqrt_rad, ordinary.motion_noise.sd_rad_per_sqrt_rad);
}

TEST(Simulate, DeadCountersSayNoughtAllTheTime) {
  Plan plan = two_rooms();
  plan.robot.counters_dead = true;
  const SimulatedDrive drive = simulate(plan, 1);
  ASSERT_GT(drive.wheels.size(), 100U);
  for (const WheelCounts& row : drive.wheels) {
    EXPECT_EQ(row.left_ticks, 0);
    EXPECT_EQ(row.right_ticks, 0);
  }
}

}  // namespace
}  // namespace wainscot::simulator
