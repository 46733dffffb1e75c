#include "apps/simulator/plan_yaml.hpp"

#include <filesystem>
#include <fstream>
#include <string>

#include <sys/stat.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "apps/simulator/random_house.hpp"
#include "core/errors.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

namespace fs = std::filesystem;

class PlanYaml : public testing::Test {
 protected:
  PlanYaml()
      : file_(fs::path(testing::TempDir()) /
              (std::string(testing::UnitTest::GetInstance()->current_test_info()->name()) + "_plan.yaml")) {}
  ~PlanYaml() override { fs::remove(file_); }

  Plan read(const std::string& text) {
    std::ofstream(file_, std::ios::binary) << text;
    return read_plan(file_);
  }

  std::string refusal(const std::string& text) {
    try {
      read(text);
    } catch (const InputError& error) {
      const std::string what = error.what();
      EXPECT_EQ(what.rfind(file_.string(), 0), 0U) << what;
      return what.substr(file_.string().size());
    }
    return "was accepted";
  }

  fs::path file_;
};

constexpr const char* kSmall =
    "wainscot_plan: 1\n"
    "walls:\n"
    "  - {from: [0, 0], to: [5, 0], thickness_m: 0.2}\n"
    "route: [[1, 1], [2, 1]]\n";

TEST_F(PlanYaml, WhatIsWrittenIsReadBackTheSame) {
  Plan detailed = two_rooms();
  detailed.uncertainties_stated = true;
  detailed.robot.lidar_log = LidarLog::returns;
  Person person;
  person.waypoints = {{1.0, 1.0}, {2.0, 2.5}};
  detailed.people = {person};
  detailed.people[0].cart_m = 0.6;
  detailed.defects.range_rounding_m = Knob::fixed(0.05);
  detailed.defects.odometry_slip_m = Knob::uniform(-0.7, 0.7);
  detailed.not_told = {"range_rounding_m", "odometry_slip_m"};
  EXPECT_NE(plan_text(detailed).find("range_rounding_m: 0.05"), std::string::npos);
  EXPECT_EQ(plan_text(two_rooms()).find("range_rounding_m"), std::string::npos);
  EXPECT_EQ(plan_text(two_rooms()).find("not_told"), std::string::npos);
  for (const Plan& plan : {detailed, random_house(3), random_house(8), random_house(29)}) {
    write_plan(plan, file_);
    EXPECT_EQ(plan_text(read_plan(file_)), plan_text(plan));
  }
}

TEST_F(PlanYaml, LeftOutKeysHaveTheirDefaults) {
  const Plan plan = read(kSmall);
  EXPECT_EQ(plan.walls.size(), 1U);
  EXPECT_EQ(plan.robot.lidar.beams, LidarSpec().beams);
  EXPECT_EQ(to_text(plan.defects.surface_bias_m), to_text(Defects().surface_bias_m));
}

TEST_F(PlanYaml, ShapesAndDefectsAreRead) {
  const Plan plan = read(std::string(kSmall) +
                         "furniture:\n"
                         "  - {shape: round, centre: [1, 2], diameter_m: 0.4}\n"
                         "  - {shape: legs, centre: [1, 2], length_m: 1.2, width_m: 0.8, leg_m: 0.03}\n"
                         "defects: {range_scale: 1.005, surface_bias_m: -0.001..0.002, slip_steady_rel: 0~0.01}\n");
  EXPECT_EQ(plan.furniture[0].length_m, 0.4);
  EXPECT_EQ(plan.furniture[1].shape, FurnitureShape::legs);
  EXPECT_EQ(plan.defects.range_scale.a, 1.005);
  EXPECT_EQ(plan.defects.surface_bias_m.b, 0.002);
  EXPECT_EQ(plan.defects.slip_steady_rel.sd(), 0.01);
}

TEST_F(PlanYaml, WrongPlansAreRefusedWithTheLine) {
  const std::string small = kSmall;
  const auto says = [this](const std::string& text, const std::string& line, const std::string& words) {
    const std::string what = refusal(text);
    EXPECT_EQ(what.rfind(", line " + line + ":", 0), 0U) << what;
    EXPECT_NE(what.find(words), std::string::npos) << what;
  };
  says(small + "robto: {}\n", "5", "robot");
  says(small + "robot: {speed: 1}\n", "5", "speed_m_s");
  says(small + "robot:\n  lidar:\n    beans: 3\n", "7", "beams");
  says(small + "robot: {speed_m_s: fast}\n", "5", "number");
  says(small + "robot: {speed_m_s: 0,3}\n", "5", "");
  says(small + "robot: {speed_m_s: -1}\n", "5", "0.02");
  says(small + "robot: {counter_bits: 24}\n", "5", "16 or 32");
  says(small + "robot: {left_m_per_tick: 0}\n", "5", "must not be 0");
  says(small + "robot: {lidar: {beams: 36.5}}\n", "5", "whole");
  says(small + "defects: {range_noise: 0.1}\n", "5", "range_noise_m");
  says(small + "defects: {range_noise_m: much}\n", "5", "range_noise_m");
  says(small + "furniture:\n  - {shape: cube, centre: [1, 1]}\n", "6", "box, round, legs");
  says(small + "furniture:\n  - {shape: box, length_m: 1, width_m: 1}\n", "6", "centre");
  says(small + "people:\n  - {waypoints: [[1, 1]]}\n", "6", "at least 2");
  says(small + "name: a\nname: b\n", "6", "twice");
  says("wainscot_plan: 2\nroute: [[1, 1], [2, 1]]\n", "1", "wainscot_plan");
  says("route: [[1, 1], [2, 1]]\n", "1", "wainscot_plan");
  says("wainscot_plan: 1\nroute: [[1, 1]]\n", "1", "two waypoints");
  says("wainscot_plan: 1\nroute: [[1, 1], [2, x]]\n", "2", "number");
  says("wainscot_plan: 1\nwalls:\n  - {from: [0, 0], to: [1, 0], openings: [{at_m: 0.9, width_m: 0.8}]}\n", "3",
       "within its wall");
  says("wainscot_plan: 1\nwalls:\n  - {from: [1, 1], to: [1, 1]}\n", "3", "same place");
  says("wainscot_plan: 1\n\troute: 3\n", "2", "YAML");
  says("[1, 2]\n", "1", "pairs");
  EXPECT_NE(refusal(kSmall + std::string("not_told: [range_roundin_m]\n")).find("line 5"), std::string::npos);
}

TEST_F(PlanYaml, UnreadableFilesAreRefused) {
  EXPECT_THROW(read_plan(file_.parent_path() / "there is none.yaml"), InputError);
  EXPECT_THROW(read_plan(file_.parent_path()), InputError);
  EXPECT_NE(refusal("").find("empty"), std::string::npos);
}

TEST_F(PlanYaml, WhatIsNoPlainFileIsRefused) {
  ::alarm(20);  // should a pipe be waited for
  ASSERT_EQ(::mkfifo(file_.c_str(), 0600), 0);
  EXPECT_THROW(read_plan(file_), InputError);
  ::alarm(0);
  fs::remove(file_);
  fs::create_symlink("/dev/zero", file_);
  EXPECT_THROW(read_plan(file_), InputError);
}

TEST_F(PlanYaml, NoMoreIsReadThanAPlanHas) {
  EXPECT_NE(refusal(kSmall + std::string(1'000'000, '\n')).find("is larger than 1000000 bytes"), std::string::npos);
}

TEST_F(PlanYaml, MovingThingsLiftsSlipsAndMirrorsAreReadBackTheSame) {
  Plan plan = two_rooms();
  plan.walls[0].mirrors = {{3.0, 1.0, true}, {5.0, 0.5, false}};
  plan.walls.back().openings[0].leaf->moves = {{20.0, 0.0}, {35.5, 95.0}};
  plan.furniture[0].moves = {{12.0, {0.4, 2.5}, 80.0}};
  plan.furniture[1].moves = {{15.0, {5.0, 0.6}, 0.0}};
  Person follower;
  follower.follows_m = 1.1;
  plan.people = {follower};
  plan.route[2].lift = Lift{{{3.5, 2.0}, {4.0, 3.0}}, -45.0};
  plan.slips = {{{3.0, 1.0}, 0.2, 2, 0.5, -0.1}};
  plan.robot.lidar.all_at_once = true;
  plan.robot.lidar.scan_every_m = 1.5;
  write_plan(plan, file_);
  const Plan read = read_plan(file_);
  EXPECT_EQ(plan_text(read), plan_text(plan));
  EXPECT_EQ(read.walls[0].mirrors[1].on_left, false);
  EXPECT_EQ(read.walls.back().openings[0].leaf->moves[1].open_deg, 95.0);
  EXPECT_EQ(read.furniture[1].moves[0].centre.x_m, 5.0);
  EXPECT_EQ(read.people[0].follows_m, 1.1);
  EXPECT_EQ(read.route[2].lift->way[1].y_m, 3.0);
  EXPECT_EQ(read.slips[0].crossing, 2);
  EXPECT_TRUE(read.robot.lidar.all_at_once);
  EXPECT_EQ(read.robot.lidar.scan_every_m, 1.5);
}

TEST_F(PlanYaml, WrongMovesLiftsAndSlipsAreRefusedWithTheLine) {
  const std::string small = kSmall;
  const auto says = [this](const std::string& text, const std::string& line, const std::string& words) {
    const std::string what = refusal(text);
    EXPECT_EQ(what.rfind(", line " + line + ":", 0), 0U) << what;
    EXPECT_NE(what.find(words), std::string::npos) << what;
  };
  const std::string wall = "wainscot_plan: 1\nroute: [[1, 1], [2, 1]]\nwalls:\n  - {from: [0, 0], to: [5, 0], ";
  says(wall + "mirrors: [{at_m: 4.9, width_m: 1}]}\n", "4", "within its wall");
  says(wall + "mirrors: [{at_m: 2, width: 1}]}\n", "4", "width_m");
  says(wall + "mirrors: [{at_m: 2, width_m: 1, side: up}]}\n", "4", "left, right");
  const std::string door = wall + "openings: [{at_m: 2, width_m: 0.9, leaf: {";
  says(door + "open_deg: 30}}]}\n", "4", "0 (shut) or 60 to 180");
  says(door + "moves: [{from_s: 9, open_deg: 0}, {from_s: 3, open_deg: 90}]}}]}\n", "4", "must rise");
  says(door + "moves: [{form_s: 9}]}}]}\n", "4", "from_s");
  says(small + "furniture:\n  - {shape: box, centre: [1, 1], length_m: 1, width_m: 1, moves: [{from_s: 3}]}\n", "6",
       "centre");
  says(small + "slips:\n  - {at: [1, 1], crossings: 2}\n", "6", "crossing");
  says(small + "slips:\n  - {at: [1, 1], crossing: 0}\n", "6", "1 to");
  says(small + "people:\n  - {follow_m: 1}\n", "6", "follows_m");
  says(small + "robot: {lidar_log: returns, lidar: {all_at_once: true}}\n", "5", "scans");
  says("wainscot_plan: 1\nroute: [[1, 1], {at: [2, 1], lift: {way: [[3, 1]], heading_deg: 0}}]\n", "2", "last");
  says("wainscot_plan: 1\nroute: [[1, 1], {at: [2, 1], lift: {way: []}}, [1, 1]]\n", "2", "way");
}

}  // namespace
}  // namespace wainscot::simulator
