#include "apps/tape_text.hpp"

#include <limits>

#include <gtest/gtest.h>

#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

AnsweredTape answered(const std::string& name, std::optional<double> tape_m, bool found) {
  AnsweredTape tape{{name, {{1.0, 2.0}, {3.0, 2.0}}, tape_m}, {}};
  tape.answer.nearest_m = {0.1, found ? 0.1 : 1.25};
  if (!found) return tape;
  tape.answer.measure = TapeMeasure();
  tape.answer.measure->distance_m = 2.00449;
  tape.answer.measure->own_sd_m = 0.003;
  tape.answer.measure->sd_m = 0.005;
  tape.answer.measure->from_m = {1.0, 2.0};
  tape.answer.measure->to_m = {3.0, 2.0};
  tape.answer.measure->nodes = 7;
  return tape;
}

TEST(TapeText, Table) {
  const std::vector<AnsweredTape> tapes{answered("hall", 2.0, true), answered("bath", 1.5, false),
                                        answered("kitchen", std::nullopt, true)};
  EXPECT_EQ(tape_table(tapes, true),
            "name,distance_m,standard_uncertainty_m,tape_m,difference_m\nhall,2.0045,0.0050,2,0.0045\nbath,,,1.5,\n"
            "kitchen,2.0045,0.0050,,\n");
  EXPECT_EQ(tape_table(tapes, false),
            "name,distance_m,standard_uncertainty_m\nhall,2.0045,0.0050\nbath,,\nkitchen,2.0045,0.0050\n");
}

TEST(TapeText, SentencesHaveUnitsAndSayHow) {
  const std::string said = tape_sentence(answered("hall", 2.0, true), 0.002);
  EXPECT_TRUE(has(said, "hall: 2.004 m from (1.00, 2.00) to (3.00, 2.00) m, square across")) << said;
  EXPECT_TRUE(has(said, "standard uncertainty 5.0 mm, of which the map's scale gives 4.0 mm")) << said;
  EXPECT_FALSE(is_odd(answered("hall", 2.0, true)));
  AnsweredTape askew = answered("hall", 2.0, true);
  askew.asked.tape.to_m = {3.0, 4.0};
  EXPECT_TRUE(is_odd(askew));
  EXPECT_TRUE(has(tape_sentence(askew, 0.002), "the points do not lie opposite each other"));
  askew.answer.measure->kind = TapeKind::point_to_point;
  EXPECT_TRUE(is_odd(askew));
  const std::string none = no_wall_sentence(answered("bath", 1.5, false));
  EXPECT_TRUE(has(none, "no wall within 0.40 m of its second point (3.00, 2.00) m; the nearest is 1.25 m away"))
      << none;
  AnsweredTape empty = answered("bath", 1.5, false);
  empty.answer.nearest_m[1] = std::numeric_limits<double>::infinity();
  EXPECT_TRUE(has(no_wall_sentence(empty), "the map has no walls"));
}

TEST(TapeText, Verdicts) {
  TapeCheck check;
  check.agreement = 0.42;
  check.standardised = {0.5, -0.2};
  const std::string agree = verdict_text(check, {"a", "b"});
  EXPECT_TRUE(has(agree, "Map and tape agree")) << agree;
  EXPECT_TRUE(has(agree, "p = 0.420, 2 tapes")) << agree;
  EXPECT_TRUE(has(agree, "Three tapes or more")) << agree;
  check.agreement = 1e-7;
  check.scale = {-0.004, 0.001, 0.0022};
  check.bias_m = {0.002, 0.004, 0.009};
  check.standardised = {0.5, -9.2};
  const std::string disagree = verdict_text(check, {"a", "b"});
  EXPECT_TRUE(has(disagree, "Map and tape do not agree")) << disagree;
  EXPECT_TRUE(has(disagree, "p below 0.001")) << disagree;
  EXPECT_TRUE(has(disagree, "too short by 0.40 % (standard uncertainty 0.10 %); 95 % interval -0.62 to -0.18 %."))
      << disagree;
  EXPECT_TRUE(has(disagree, "so that it cannot be told from 0")) << disagree;
  EXPECT_TRUE(has(disagree, "Measure b again: it is 9.2 standard uncertainties off")) << disagree;
}

TEST(TapeText, RobotLinesShrinkWhatIsTooLong) {
  Map map;
  map.constants = {{"lidar.range_scale", "1", 1.0, 0.005, 1.002, 0.004, false},
                   {"lidar.range_offset_m", "m", 0.0, 0.005, 0.003, 0.001, true}};
  Robot robot;
  robot.drive = DriveConstants();
  robot.drive->left_m_per_tick = -2e-4;
  robot.drive->right_m_per_tick = 2e-4;
  robot.drive->track_width_m = 0.3;
  MapCorrection correction;
  correction.scale = 0.01;
  correction.scale_sd = 0.001;
  correction.range_offset_m = 0.001;
  EXPECT_EQ(robot_lines(map, robot, correction),
            "drive:\n  left_m_per_tick: -0.0001980198\n  right_m_per_tick: 0.0001980198\n  track_width_m: 0.2970297\n"
            "  left_sd_m_per_tick: 2e-07\n  right_sd_m_per_tick: 2e-07\nlidar:\n  range_scale: 0.99208\n"
            "  range_offset_m: 0.0020\n");
  robot.drive.reset();
  EXPECT_EQ(robot_lines(map, robot, correction), "lidar:\n  range_scale: 0.99208\n  range_offset_m: 0.0020\n");
}

}  // namespace
}  // namespace wainscot
