#include "apps/simulator/lidar.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "apps/simulator/simulate.hpp"
#include "standing_lidar.hpp"

namespace wainscot::simulator {
namespace {

TEST(Lidar, APerfectOneSeesTheRoomExactly) {
  const SimulatedDrive drive = simulate(standing(), 1);
  const TimedPose end = drive.truth.trajectory.back();
  for (const ScanRow& row : still(drive)) {
    for (std::size_t k = 0; k < row.range_m.size(); ++k) {
      const Point p =
          Point{end.pose.x_m, end.pose.y_m} +
          static_cast<double>(row.range_m[k]) * direction(end.pose.heading_rad + drive.beams_deg[k] * kDegree_rad);
      // The hit lies on the nearest of the four walls.
      const double off = std::min({std::abs(p.x_m), std::abs(p.x_m - 6.0), std::abs(p.y_m), std::abs(p.y_m - 4.0)});
      ASSERT_LT(off, 1e-5);
    }
  }
}

TEST(Lidar, BeamAnglesOfAllKinds) {
  LidarSpec lidar;
  EXPECT_EQ(beam_angles_deg(lidar)[359], 359.0);
  lidar.clockwise = true;
  lidar.first_beam_deg = 180.0;
  EXPECT_EQ(beam_angles_deg(lidar)[359], -179.0);
  lidar = LidarSpec();
  lidar.beams = 481;
  lidar.field_deg = 240.0;
  lidar.first_beam_deg = -120.0;
  EXPECT_EQ(beam_angles_deg(lidar).front(), -120.0);
  EXPECT_NEAR(beam_angles_deg(lidar).back(), 120.0, 1e-9);
}

TEST(Lidar, MirroredAndTurnedMountingsSeeTheSameRoom) {
  Plan plan = standing();
  plan.robot.lidar.heading_deg = 90.0;
  const SimulatedDrive turned = simulate(plan, 1);
  plan.robot.lidar.mirrored = true;
  const SimulatedDrive mirrored = simulate(plan, 1);
  const SimulatedDrive plain = simulate(standing(), 1);
  for (std::size_t k = 0; k < 360; ++k) {
    // Beam k of the turned one looks to k + 90 degrees of the robot, of the mirrored one to 90 - k.
    EXPECT_NEAR(still(turned)[5].range_m[k], still(plain)[5].range_m[(k + 90) % 360], 1e-5);
    EXPECT_NEAR(still(mirrored)[5].range_m[k], still(plain)[5].range_m[(450 - k) % 360], 1e-5);
  }
}

TEST(Lidar, RangeNoiseHasItsSizeAndGrowth) {
  Plan plan = standing();
  plan.defects.range_noise_m = Knob::fixed(0.015);
  const Statistics near_by = statistics(differences(plan, standing()));
  EXPECT_NEAR(near_by.sd, 0.015, 0.0003);
  EXPECT_NEAR(near_by.mean, 0.0, 0.0003);
  plan.defects.range_noise_growth_per_m = Knob::fixed(0.002);
  const Statistics at_three =
      statistics(differences(plan, standing(), [](double r, std::size_t) { return std::abs(r - 3.0) < 0.05; }));
  EXPECT_NEAR(at_three.sd, 0.015 + 0.002 * 9.0, 0.002);
}

TEST(Lidar, BiasScaleAndStepAreAsStated) {
  Plan plan = standing();
  plan.defects.surface_bias_m = Knob::fixed(0.02);
  EXPECT_NEAR(statistics(differences(plan, standing())).mean, 0.02, 1e-6);
  EXPECT_LT(statistics(differences(plan, standing())).sd, 1e-5);
  plan.defects.surface_bias_m = Knob::uniform(-0.005, 0.005);
  const TrueLidar lidar = draw_lidar(plan, 400, 1);
  EXPECT_NEAR(*std::min_element(lidar.face_bias_m.begin(), lidar.face_bias_m.end()), -0.005, 0.0003);
  EXPECT_NEAR(*std::max_element(lidar.face_bias_m.begin(), lidar.face_bias_m.end()), 0.005, 0.0003);

  plan = standing();
  plan.defects.range_scale = Knob::fixed(1.005);
  const auto at_two = [](double r, std::size_t) { return std::abs(r - 2.0) < 0.001; };
  EXPECT_NEAR(statistics(differences(plan, standing(), at_two)).mean, 0.01, 0.0001);

  plan = standing();
  plan.robot.lidar.range_step_m = 0.01;
  const ScanRow stepped = still(simulate(plan, 1))[0];
  for (const float r : stepped.range_m) {
    EXPECT_NEAR(std::remainder(static_cast<double>(r), 0.01), 0.0, 1e-6);
  }
}

TEST(Lidar, LosesBeamsAndRevolutionsAtTheirRates) {
  Plan plan = standing();
  plan.defects.dropout_rate = Knob::fixed(0.1);
  EXPECT_NEAR(statistics(differences(plan, standing())).missing, 0.1, 0.003);
  plan = standing();
  plan.route.back().stop_s = 600.0;
  const std::size_t all = simulate(plan, 1).scans.size();
  plan.defects.lost_revolution_rate = Knob::fixed(0.1);
  EXPECT_NEAR(1.0 - static_cast<double>(simulate(plan, 1).scans.size()) / static_cast<double>(all), 0.1, 0.02);
}

TEST(Lidar, LosesGrazingAnswersBetweenItsAngles) {
  Plan plan = standing();
  plan.defects.grazing_loss_begin_deg = Knob::fixed(40.0);
  plan.defects.grazing_loss_full_deg = Knob::fixed(50.0);
  const std::vector<ScanRow> rows = still(simulate(plan, 1));
  // In front, the wall at x = 6 is met at the beam's own angle.
  const auto lost = [&rows](std::size_t beam) {
    double n = 0.0;
    for (const ScanRow& row : rows) n += std::isnan(row.range_m[beam]) ? 1.0 : 0.0;
    return n / static_cast<double>(rows.size());
  };
  EXPECT_EQ(lost(0), 0.0);
  EXPECT_EQ(lost(33), 0.0);
  EXPECT_EQ(lost(38), 1.0);  // 38 degrees meet the wall at y = 4, 52 degrees off its normal
}

TEST(Lidar, MountingErrorsMoveAndTurnIt) {
  Plan plan = standing();
  plan.defects.mounting_x_error_m = Knob::fixed(0.05);
  const auto beam = [](std::size_t k) { return [k](double, std::size_t column) { return column == k; }; };
  EXPECT_NEAR(statistics(differences(plan, standing(), beam(0))).mean, -0.05, 0.001);
  EXPECT_NEAR(statistics(differences(plan, standing(), beam(180))).mean, 0.05, 0.001);
  plan = standing();
  plan.defects.mounting_y_error_m = Knob::fixed(0.05);
  EXPECT_NEAR(statistics(differences(plan, standing(), beam(90))).mean, -0.05, 0.001);
  plan = standing();
  plan.defects.mounting_heading_error_deg = Knob::fixed(5.0);
  const std::vector<ScanRow> turned = still(simulate(plan, 1));
  const std::vector<ScanRow> straight = still(simulate(standing(), 1));
  for (std::size_t k = 0; k < 360; ++k) EXPECT_NEAR(turned[0].range_m[k], straight[0].range_m[(k + 5) % 360], 1e-4);
}

TEST(Lidar, MixesReturnsAtDepthEdgesOnly) {
  Plan plan = standing();
  plan.furniture = {{"box", FurnitureShape::box, {4.5, 2.0}, 0.5, 0.5, 0.0, 0.04}};
  const Plan sharp = plan;
  plan.defects.beam_width_deg = Knob::fixed(0.9);
  plan.defects.mixed_return_share = Knob::fixed(0.5);
  // The box spans +-11.3 degrees at 1.25 m; the beams of 11 and 12 degrees reach across its edges by their width.
  std::vector<double> at_edge;
  std::vector<double> elsewhere;
  const std::vector<ScanRow> a = still(simulate(plan, 1));
  const std::vector<ScanRow> b = still(simulate(sharp, 1));
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t k = 0; k < 360; ++k) {
      const double change = std::abs(static_cast<double>(a[i].range_m[k] - b[i].range_m[k]));
      const bool edge = k == 11 || k == 349;
      (edge ? at_edge : elsewhere).push_back(change > 1e-4 ? 1.0 : 0.0);
    }
  }
  EXPECT_NEAR(statistics(at_edge).mean, 0.5, 0.05);
  EXPECT_EQ(statistics(elsewhere).mean, 0.0);
  plan.defects.mixed_return_share = Knob::fixed(0.0);
  EXPECT_EQ(statistics(differences(plan, sharp)).sd, 0.0);
}

TEST(Lidar, GlassAnswersPassesAndSwallowsAtItsRates) {
  Plan plan = standing();
  Wall between = {{4.0, 0.0}, {4.0, 4.0}, 0.1, {}};
  between.openings.push_back({2.0, 2.0, std::nullopt, true, false});
  plan.walls.push_back(between);
  plan.defects.glass_return_rate = Knob::fixed(0.2);
  plan.defects.glass_loss_rate = Knob::fixed(0.3);
  std::vector<double> pane;
  std::vector<double> wall;
  std::vector<double> none;
  for (const ScanRow& row : still(simulate(plan, 1))) {
    for (const std::size_t k : {355U, 358U, 0U, 3U, 7U}) {
      const double r = static_cast<double>(row.range_m[k]) * std::cos(static_cast<double>(k) * kDegree_rad);
      none.push_back(std::isnan(r) ? 1.0 : 0.0);
      pane.push_back(std::abs(r - 1.0) < 0.1 ? 1.0 : 0.0);
      wall.push_back(std::abs(r - 3.0) < 0.1 ? 1.0 : 0.0);
    }
  }
  EXPECT_NEAR(statistics(none).mean, 0.3, 0.04);
  EXPECT_NEAR(statistics(pane).mean, 0.2, 0.04);
  EXPECT_NEAR(statistics(wall).mean, 0.5, 0.04);
}

TEST(Lidar, BeamsAreFiredOneAfterTheOtherWhileTheRobotMoves) {
  // Along x at constant speed the last beam is fired a turn later and so a bit further on.
  Plan plan = empty_room();
  plan.route = {{{1.0, 2.0}}, {{5.0, 2.0}}};
  plan.defects.hand_wobble_rad_s = Knob::fixed(0.0);
  plan.defects.hand_pauses_per_minute = Knob::fixed(0.0);
  const SimulatedDrive drive = simulate(plan, 1);
  int checked = 0;
  for (const ScanRow& row : drive.scans) {
    const auto x_at = [&drive](double time_s) {
      const auto& t = drive.truth.trajectory;
      const auto after = std::find_if(t.begin(), t.end(), [time_s](const TimedPose& p) { return p.time_s >= time_s; });
      const TimedPose& b = *after;
      const TimedPose& a = *(after - 1);
      return a.pose.x_m + (time_s - a.time_s) / (b.time_s - a.time_s) * (b.pose.x_m - a.pose.x_m);
    };
    if (row.time_s < 4.0 || row.time_s > 9.0) continue;
    EXPECT_NEAR(row.range_m[0], 6.0 - x_at(row.time_s), 0.0005);
    EXPECT_NEAR(row.range_m[180], x_at(row.time_s + 0.5 / 7.0), 0.0005);
    ++checked;
  }
  EXPECT_GT(checked, 20);
}

TEST(Lidar, ReturnsFallAtUnevenAnglesWithStampsOfTheirOwn) {
  Plan plan = standing();
  plan.robot.lidar_log = LidarLog::returns;
  plan.robot.lidar.clockwise = true;
  plan.defects.motor_speed_error_rel = Knob::fixed(0.031);
  const SimulatedDrive drive = simulate(plan, 1);
  EXPECT_TRUE(drive.scans.empty());
  ASSERT_GT(drive.returns.size(), 10000U);
  int wraps = 0;
  for (std::size_t i = 1; i < drive.returns.size(); ++i) {
    const ReturnRow& a = drive.returns[i - 1];
    const ReturnRow& b = drive.returns[i];
    EXPECT_GE(b.time_s, a.time_s);
    EXPECT_NEAR(b.time_s - a.time_s, 1.0 / (7.0 * 360.0), 1e-9);
    EXPECT_GE(b.angle_deg, 0.0);
    EXPECT_LT(b.angle_deg, 360.0);
    if (b.angle_deg > a.angle_deg) {
      ++wraps;
    } else {
      // Samples come at the nominal rate, the motor turns 3.1 % faster.
      EXPECT_NEAR(a.angle_deg - b.angle_deg, 1.031, 0.011);
    }
  }
  EXPECT_NEAR(wraps, drive.truth.trajectory.back().time_s * 7.0 * 1.031, 4.0);
}

TEST(Lidar, TheRobotsOwnMastStandsInTheBlindSector) {
  Plan plan = standing();
  plan.robot.lidar.blind_from_deg = 170.0;
  plan.robot.lidar.blind_to_deg = -175.0;
  const SimulatedDrive drive = simulate(plan, 1);
  const ScanRow row = still(drive)[0];
  EXPECT_NEAR(row.range_m[172], plan.robot.lidar.min_range_m + 0.02, 1e-6);
  EXPECT_NEAR(row.range_m[184], plan.robot.lidar.min_range_m + 0.02, 1e-6);
  EXPECT_GT(row.range_m[168], 1.0F);
  EXPECT_GT(row.range_m[187], 1.0F);
  ASSERT_EQ(drive.robot.lidar.blind_deg.size(), 1U);
  EXPECT_EQ(drive.robot.lidar.blind_deg[0].from_deg, 170.0);
}

TEST(Lidar, PeopleAreSeenWhileTheyAreThere) {
  Plan plan = standing();
  Person person;
  person.waypoints = {{4.5, 1.0}, {4.5, 3.0}};
  person.start_s = 10.0;
  person.end_s = 30.0;
  plan.people = {person};
  const SimulatedDrive with = simulate(plan, 1);
  const SimulatedDrive without = simulate(standing(), 1);
  ASSERT_EQ(with.scans.size(), without.scans.size());
  for (std::size_t i = 0; i < with.scans.size(); ++i) {
    int shorter = 0;
    for (std::size_t k = 0; k < 360; ++k) {
      if (with.scans[i].range_m[k] < without.scans[i].range_m[k] - 0.1F) ++shorter;
    }
    const double time = with.scans[i].time_s;
    if (time > 10.2 && time < 29.8) {
      EXPECT_GT(shorter, 3) << time;
    }
    if (time < 9.8 || time > 30.2) {
      EXPECT_EQ(shorter, 0) << time;
    }
  }
}

TEST(Lidar, AMirrorShowsTheRoomBehindItself) {
  Plan plan = standing();
  plan.walls[1].mirrors = {{2.2, 3.0, true}};  // the east wall runs north: its left face looks into the room
  const SimulatedDrive drive = simulate(plan, 1);
  const TimedPose end = drive.truth.trajectory.back();
  int mirrored = 0;
  int dusty = 0;
  for (const ScanRow& row : still(drive)) {
    for (std::size_t k = 0; k < row.range_m.size(); ++k) {
      const Point along = direction(end.pose.heading_rad + drive.beams_deg[k] * kDegree_rad);
      const Point from = {end.pose.x_m, end.pose.y_m};
      const double mirror_x = 6.0 - 0.005;
      const double there = (mirror_x - from.x_m) / along.x_m;
      const double y = from.y_m + there * along.y_m;
      if (along.x_m < 0.5 || y < 0.6 || y > 3.4) continue;
      const auto range = static_cast<double>(row.range_m[k]);
      if (std::abs(range - there) < 1e-4) {
        ++dusty;
        continue;
      }
      // Unfolded, the beam goes on straight and ends on a wall of the mirrored room, or beyond the greatest range.
      ++mirrored;
      const Point p = from + range * along;
      const double off = std::min({std::abs(p.x_m - 2.0 * mirror_x), std::abs(p.y_m), std::abs(p.y_m - 4.0)});
      if (std::isnan(range)) continue;
      ASSERT_LT(off, 1e-3);
    }
  }
  EXPECT_GT(mirrored, 1000);
  EXPECT_NEAR(static_cast<double>(dusty) / (mirrored + dusty), 0.03, 0.01);
}

TEST(Lidar, AllAtOnceEveryBeamComesFromOnePlace) {
  Plan plan = empty_room();
  plan.robot.lidar.all_at_once = true;
  plan.robot.truth_rate_hz = 500.0;
  const SimulatedDrive drive = simulate(plan, 1);
  EXPECT_EQ(drive.robot.lidar.sweep_s, 0.0);
  for (std::size_t i = 0; i < drive.scans.size(); i += 10) {
    const auto row = static_cast<std::size_t>(std::lround(drive.scans[i].time_s * 500.0));
    const Pose2 pose = drive.truth.trajectory[row].pose;
    for (std::size_t k = 0; k < drive.beams_deg.size(); k += 7) {
      const Point p = Point{pose.x_m, pose.y_m} + static_cast<double>(drive.scans[i].range_m[k]) *
                                                      direction(pose.heading_rad + drive.beams_deg[k] * kDegree_rad);
      const double off = std::min({std::abs(p.x_m), std::abs(p.x_m - 6.0), std::abs(p.y_m), std::abs(p.y_m - 4.0)});
      EXPECT_LT(off, 0.01);  // the truth is 1 ms away at most
    }
  }
}

// Beams through a pane came back smeared between the pane and the wall behind it (November 2026).
TEST(Lidar, ABeamThroughAPaneAnswersFromTheWallBehindIt) {
  Plan plan = standing();
  Wall between = {{4.5, 0.0}, {4.5, 4.0}, 0.1, {}};
  between.openings.push_back({2.0, 3.0, std::nullopt, true, false});
  plan.walls.push_back(between);
  plan.defects.beam_width_deg = Knob::fixed(0.4);
  plan.defects.mixed_return_share = Knob::fixed(1.0);
  int wall = 0;
  for (const ScanRow& row : still(simulate(plan, 1))) {
    for (std::size_t k = 0; k < row.range_m.size(); ++k) {
      const double angle = static_cast<double>(k) * kDegree_rad;
      if (std::cos(angle) < 0.9) continue;  // well within the pane
      const double x = 3.0 + static_cast<double>(row.range_m[k]) * std::cos(angle);
      ASSERT_NEAR(x, 6.0, 0.1);
      ++wall;
    }
  }
  EXPECT_GT(wall, 1000);
}

TEST(Lidar, RangesComeInTheStepsOfTheirKnob) {
  Plan plan = standing();
  plan.robot.lidar.range_step_m = 0.001;
  plan.defects.range_noise_m = Knob::fixed(0.03);
  for (const double step : {0.01, 0.05}) {
    plan.defects.range_rounding_m = Knob::fixed(step);
    std::set<long> steps;
    for (const ScanRow& row : still(simulate(plan, 1))) {
      for (const float range : row.range_m) {
        const double in_steps = static_cast<double>(range) / step;
        ASSERT_NEAR(in_steps, std::round(in_steps), 1e-4);
        steps.insert(std::lround(in_steps));
      }
    }
    EXPECT_GT(static_cast<double>(steps.size()), 1.5 / step);  // ranges from 2 m to 3.6 m
  }
}

TEST(Lidar, NoiseGrowsInProportionToTheRange) {
  Plan plan = standing();
  plan.defects.range_noise_per_m = Knob::fixed(0.01);
  struct Ranges {
    double from;
    double to;
  };
  for (const Ranges ranges : {Ranges{2.0, 2.1}, {3.4, 3.6}}) {
    const Statistics s = statistics(differences(
        plan, standing(), [&](double range, std::size_t) { return range > ranges.from && range < ranges.to; }));
    EXPECT_NEAR(s.sd, 0.01 * (ranges.from + ranges.to) / 2.0, 0.001);
    EXPECT_NEAR(s.mean, 0.0, 0.001);
  }
}

TEST(Lidar, TheBiasOfIncidenceFollowsItsLaw) {
  Plan plan = standing();
  plan.defects.incidence_bias_m = Knob::fixed(0.02);
  const std::vector<ScanRow> biased = still(simulate(plan, 1));
  const std::vector<ScanRow> plain = still(simulate(standing(), 1));
  // Beam k meets the wall y = 4 from y = 2 at k - 90 degrees from its normal, as long as it is that wall.
  for (const std::size_t k : {60U, 75U, 90U, 110U}) {
    const double bias = static_cast<double>(biased[3].range_m[k] - plain[3].range_m[k]);
    const double incidence = std::acos(2.0 / static_cast<double>(plain[3].range_m[k]));
    EXPECT_NEAR(bias, 0.04 * (1.0 - std::cos(incidence)), 1e-4) << k;
  }
}

}  // namespace
}  // namespace wainscot::simulator
