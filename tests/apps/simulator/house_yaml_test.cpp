#include "apps/simulator/house_yaml.hpp"

#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

const std::string kHouseFile = "plan.yaml";

PlanSection house(const std::string& text) {
  return {YAML::Load(text), kHouseFile, "the plan", {"walls", "furniture", "floors"}};
}

Plan house_with_everything() {
  Plan plan = two_rooms();
  plan.walls[0].mirrors = {{3.0, 1.0, true}, {5.0, 0.5, false}};
  plan.walls.back().openings[0].leaf->moves = {{20.0, 0.0}, {35.5, 95.0}};
  plan.furniture[1].moves = {{15.0, {5.0, 0.6}, 0.0}};
  return plan;
}

TEST(HouseYaml, WhatIsWrittenIsReadBackTheSame) {
  const Plan plan = house_with_everything();
  const PlanSection section = house(walls_text(plan.walls) + furniture_text(plan.furniture) + floors_text(plan.floors));
  const std::vector<Wall> walls = read_walls(section);
  const std::vector<Furniture> furniture = read_furniture(section);
  const std::vector<Floor> floors = read_floors(section);
  EXPECT_EQ(walls_text(walls), walls_text(plan.walls));
  EXPECT_EQ(furniture_text(furniture), furniture_text(plan.furniture));
  EXPECT_EQ(floors_text(floors), floors_text(plan.floors));
  ASSERT_EQ(walls.size(), 5U);
  EXPECT_FALSE(walls[0].mirrors[1].on_left);
  EXPECT_TRUE(walls[4].openings[1].glass);
  EXPECT_TRUE(walls[4].openings[0].threshold);
  EXPECT_EQ(walls[4].openings[0].leaf->moves[1].open_deg, 95.0);
  ASSERT_EQ(furniture.size(), 3U);
  EXPECT_EQ(furniture[1].shape, FurnitureShape::round);
  EXPECT_EQ(furniture[1].moves[0].centre.x_m, 5.0);
  EXPECT_EQ(furniture[2].leg_m, 0.05);
  EXPECT_EQ(floors[0].outline[2].x_m, 6.0);
}

TEST(HouseYaml, AnEmptyHouseHasWallsOnly) {
  EXPECT_EQ(walls_text({}), "walls:\n");
  EXPECT_EQ(furniture_text({}), "");
  EXPECT_EQ(floors_text({}), "");
  EXPECT_TRUE(read_furniture(house("walls: []")).empty());
}

TEST(HouseYaml, WhatCannotStandThereIsRefused) {
  EXPECT_THROW(read_walls(house("walls: [{from: [0, 0], to: [0, 0]}]")), InputError);
  EXPECT_THROW(read_walls(house("walls: [{from: [0, 0], to: [1, 0], mirrors: [{at_m: 0.9, width_m: 0.5}]}]")),
               InputError);
  EXPECT_THROW(read_furniture(house("furniture: [{shape: round, centre: [1, 1]}]")), InputError);
  EXPECT_THROW(read_floors(house("floors: [{name: wood, outline: [[0, 0], [1, 0]]}]")), InputError);
}

}  // namespace
}  // namespace wainscot::simulator
