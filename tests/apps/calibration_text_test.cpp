#include "apps/calibration_text.hpp"

#include <cmath>
#include <optional>
#include <string>

#include <gtest/gtest.h>

#include "core/angles.hpp"
#include "io/number_text.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

/// Two runs on two surfaces, with constants as robot.yaml has them.
CalibrationRuns two_runs() {
  CalibrationRuns runs;
  runs.robot.drive = DriveConstants();
  runs.robot.drive->left_m_per_tick = 1.1e-4;
  runs.robot.drive->right_m_per_tick = 1.1e-4;
  runs.robot.drive->track_width_m = 0.28;
  runs.robot.drive->track_width_by_surface_m = {{"wood", 0.29}};
  runs.runs.resize(2);
  runs.runs[0].name = "ahead-1";
  runs.runs[1].name = "left-1";
  return runs;
}

RunCalibration found_of_runs() {
  RunCalibration found;
  found.left_m_per_tick = {1.0e-4, 2.0e-8, 4.0e-8, 10.0};
  found.right_m_per_tick = {1.01e-4, 2.0e-8, 4.0e-8, 10.0};
  found.surfaces = {{"carpet", {0.312, 0.001, 0.002, 10.0}, 1}, {"wood", {0.300, 0.001, 0.002, 10.0}, 1}};
  found.mean_width_m = {0.306, 0.0008, 0.0016, 10.0};
  found.surplus = 3.0;
  found.residuals = {{"ahead-1", 0.0012, -0.0034, std::nullopt, "left_m", 1.2, 2.9},
                     {"left-1", std::nullopt, std::nullopt, 0.5 * kDegree, "", 0.0, 2.9}};
  found.expected = {{"a turn of 90°", 0.001, 0.002, 0.3 * kDegree, 0.004, 0.1 * kDegree},
                    {"2 m straight ahead", 0.001, 0.002, 0.3 * kDegree, 0.004, 0.1 * kDegree}};
  found.more = {"track_width_m on wood", 0.0033, "turns on the spot", 7};
  return found;
}

TEST(CalibrationText, OfRunsATableOfConstantsBeforeAndFound) {
  const std::string text = calibration_text(two_runs(), found_of_runs());
  EXPECT_EQ(text.rfind("The wheels' constants from 2 runs on 2 surfaces\n\n", 0), 0U) << text;
  // The value and its uncertainty to the place of the uncertainty's second digit (JCGM 100:2008, 7.2.6).
  EXPECT_TRUE(
      has(text, "track_width_m on carpet                   0.2800        0.3120       0.0010       0.0020  m\n"))
      << text;
  EXPECT_TRUE(
      has(text, "track_width_m on wood                     0.2900        0.3000       0.0010       0.0020  m\n"))
      << text;
  EXPECT_TRUE(
      has(text, "left_m_per_tick                      0.000110000   0.000100000  0.000000020  0.000000040  m/tick"))
      << text;
  EXPECT_TRUE(has(text, "3 measurements more than unknowns. ")) << text;
  EXPECT_FALSE(has(text, "Do the surfaces differ?")) << text;
}

TEST(CalibrationText, ResidualsInMillimetresAndDegreesWithWhatStandsOut) {
  RunCalibration found = found_of_runs();
  std::string text = calibration_text(two_runs(), found);
  EXPECT_TRUE(has(text, "ahead-1          1.2         -3.4            -         1.2\n")) << text;
  EXPECT_TRUE(has(text, "left-1             -            -         0.50   unchecked\n")) << text;
  EXPECT_FALSE(has(text, "Odd: "));
  found.residuals[0].worst_ratio = 4.4;
  text = calibration_text(two_runs(), found);
  EXPECT_TRUE(has(text, "         4.4  odd\n")) << text;
  EXPECT_TRUE(has(text,
                  "Odd: ahead-1, whose left_m is 4.4 standard deviations off, where the largest of so many good "
                  "ones stays below 2.9 in 19 of 20 sets."))
      << text;
  EXPECT_TRUE(has(text, "--leave-out ahead-1.\n")) << text;
}

TEST(CalibrationText, SurfacesThatDifferAndThoseThatDoNot) {
  RunCalibration found = found_of_runs();
  found.surface_test = SurfaceTest{12.3, 1.0, 8.5, 0.0004};
  EXPECT_TRUE(has(calibration_text(two_runs(), found),
                  "Do the surfaces differ? F(1, 8.5) = 12.30, p = less than 0.001: yes, use a width for each.\n"));
  found.surface_test->p = 0.2;
  EXPECT_TRUE(has(calibration_text(two_runs(), found), "p = 0.200: not that these runs could tell; one width"));
}

TEST(CalibrationText, WhatItIsWorthStandsInColumns) {
  RunCalibration found = found_of_runs();
  const std::string text = calibration_text(two_runs(), found);
  EXPECT_TRUE(has(text, "  a turn of 90°       1.0 mm along, 2.0 mm across, 0.30°; scatter 4.0 mm, 0.10°\n")) << text;
  EXPECT_TRUE(has(text, "  2 m straight ahead  1.0 mm along, 2.0 mm across, 0.30°; scatter 4.0 mm, 0.10°\n")) << text;
  EXPECT_TRUE(has(text,
                  "The least sure is track_width_m on wood (0.33 %). Half of that would take 7 more turns on the "
                  "spot.\n"))
      << text;
  found.more.count = 0;
  EXPECT_TRUE(has(calibration_text(two_runs(), found), "measure more exactly.\n"));
}

/// A square of 2 m that odometry took for whole, and where the robot really ended.
CalibrationRun square(int way, double forward_m, double left_m) {
  const DriveConstants stated = *two_runs().robot.drive;
  CalibrationRun run;
  run.surface = "wood";
  run.whole_path = true;
  run.forward_m = forward_m;
  run.left_m = left_m;
  run.turn_rad = way * 360.0 * kDegree;
  double left = 0.0;
  double right = 0.0;
  run.wheels.push_back({});
  const auto roll = [&](double left_m_on, double right_m_on) {
    left += left_m_on / stated.left_m_per_tick;
    right += right_m_on / stated.right_m_per_tick;
    run.wheels.push_back({0.0, std::llround(left), std::llround(right)});
  };
  for (int i = 0; i < 4; ++i) {
    roll(2.0, 2.0);
    const double around_m = way * 90.0 * kDegree * stated.track_width_m / 2.0;
    roll(-around_m, around_m);
  }
  return run;
}

TEST(CalibrationText, SquaresAndTheirCorrections) {
  CalibrationRuns runs = two_runs();
  for (int i = 0; i < 4; ++i) runs.runs.push_back(square(-1, 0.012, -0.034));
  for (int i = 0; i < 5; ++i) runs.runs.push_back(square(1, -0.001, 0.002));
  std::optional<SquareTest> test = test_squares(runs);
  ASSERT_TRUE(test);
  const RunCalibration found = found_of_runs();
  std::string text = square_text(runs, *test, found);
  EXPECT_TRUE(has(text, "on wood: 4 squares clockwise, 5 counter-clockwise, sides of 2.00 m\n")) << text;
  // Counts are whole, so that odometry's squares close to half a millimetre only.
  const Eigen::Vector2d centre_m = test->found.clockwise_centre_m;
  EXPECT_NEAR(centre_m.x(), 0.012, 0.0005);
  EXPECT_NEAR(centre_m.y(), -0.034, 0.0005);
  EXPECT_TRUE(has(text, "   clockwise (" + fixed_text(1e3 * centre_m.x(), 1) + ", " +
                            fixed_text(1e3 * centre_m.y(), 1) + ") mm, counter-clockwise ("))
      << text;
  EXPECT_TRUE(has(text, "E_b " + fixed_text(test->found.width_ratio, 5))) << text;
  EXPECT_TRUE(has(text, "E_d " + fixed_text(test->found.diameter_ratio, 5))) << text;
  EXPECT_TRUE(has(text, "width " + fixed_text(test->corrected.track_width_m, 5) + " m\n")) << text;
  EXPECT_TRUE(has(text, "36 mm before")) << text;  // the further centre: the root of 12^2 + 34^2
  EXPECT_TRUE(has(text, "The procedure asks for five squares each way")) << text;
  runs.runs.push_back(square(-1, 0.012, -0.034));
  test = test_squares(runs);
  EXPECT_FALSE(has(square_text(runs, *test, found), "The procedure asks for five squares each way"));
}

/// A drive of 12 m that showed all but where the lidar sits to the side.
DriveCalibration found_of_drive() {
  DriveCalibration found;
  found.found << 1.0e-4, 1.01e-4, 0.3, 0.04, 0.0, 2.0 * kDegree, 0.015;
  found.covariance.diagonal() << 1e-16, 1e-16, 1e-6, 4e-6, 4e-6, 1e-6, 4e-6;
  found.observed.fill(true);
  found.observed[kLidarY] = false;
  found.degrees = 100.0;
  found.increments = 1234;
  found.way_m = 12.0;
  found.straight_m = 6.0;
  found.left_turn_rad = found.right_turn_rad = 360.0 * kDegree;
  found.residual_m = 0.002;
  found.residual_rad = 0.1 * kDegree;
  return found;
}

Drive drive_named(const std::string& name) {
  Drive drive;
  drive.name = name;
  drive.robot = two_runs().robot;
  drive.robot.lidar.time_offset_s = 0.010;
  return drive;
}

TEST(CalibrationText, OfADriveAnglesInDegreesAndTheWholeOffsetOfTheClock) {
  const std::string text = calibration_text(drive_named("tuesday"), found_of_drive(), std::nullopt);
  EXPECT_EQ(text.rfind("Constants from the drive tuesday: 1,234 increments of the lidar over 12.0 m of way, 360.0° of "
                       "turns to the left and 360.0° to the right\n\n",
                       0),
            0U)
      << text;
  EXPECT_TRUE(has(text, "lidar.heading_deg                          0.000         2.000        0.057")) << text;
  // What robot.yaml says and what was found beyond it: 10 + 15 ms.
  EXPECT_TRUE(has(text, "lidar.time_offset_s                       0.0100        0.0250       0.0020")) << text;
  EXPECT_TRUE(has(text, "lidar.y_m                                      0     not shown\n")) << text;
  EXPECT_TRUE(has(text, "2.0 mm and 0.10° off the lidar (RMS).\n")) << text;
  EXPECT_FALSE(has(text, "In the map that"));
  EXPECT_TRUE(has(text, "\nThe drive turned too little to show the track width and where the lidar sits (x_m, y_m); "))
      << text;
}

TEST(CalibrationText, OfADriveWhatTheMapSays) {
  MappedCalibration mapped{found_of_drive(), 0.97, true};
  const std::string good = calibration_text(drive_named("tuesday"), found_of_drive(), mapped);
  EXPECT_TRUE(has(good,
                  "In the map that these constants give, 97 % of the returns lie on walls; where the lidar sits is "
                  "from there.\n"))
      << good;
  mapped.trustworthy = false;
  mapped.matched_fraction = 0.41;
  const std::string bad = calibration_text(drive_named("tuesday"), found_of_drive(), mapped);
  EXPECT_TRUE(has(bad, "41 % of the returns lie on walls, too few to believe it.\n")) << bad;
}

}  // namespace
}  // namespace wainscot
