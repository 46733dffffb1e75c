#include "apps/simulator/plan_yaml.hpp"

#include <filesystem>
#include <fstream>
#include <string>

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
}

TEST_F(PlanYaml, UnreadableFilesAreRefused) {
  EXPECT_THROW(read_plan(file_.parent_path() / "there is none.yaml"), InputError);
  EXPECT_THROW(read_plan(file_.parent_path()), InputError);
  EXPECT_NE(refusal("").find("empty"), std::string::npos);
}

}  // namespace
}  // namespace wainscot::simulator
