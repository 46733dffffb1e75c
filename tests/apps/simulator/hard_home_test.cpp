#include "apps/simulator/hard_home.hpp"

#include <gtest/gtest.h>

#include "apps/simulator/plan_yaml.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

TEST(HardHome, SeedAndPlaceDecideWhichHome) {
  EXPECT_EQ(plan_text(hard_home(1, "a")), plan_text(hard_home(1, "a")));
  EXPECT_NE(plan_text(hard_home(1, "a")), plan_text(hard_home(1, "b")));
  EXPECT_TRUE(hard_home(1, "a").people.empty());
  EXPECT_TRUE(hard_home(1, "a").uncertainties_stated);
}

TEST(HardHome, PassagesAreOpeningsWithoutGlass) {
  const std::vector<Passage> all = passages(two_rooms());
  ASSERT_EQ(all.size(), 1U);
  EXPECT_NEAR(all[0].middle.x_m, 3.0, 1e-9);
  EXPECT_NEAR(all[0].middle.y_m, 1.0, 1e-9);
}

TEST(HardHome, VisitsAreTheTimesNearAPlace) {
  Plan plan = empty_room();
  plan.route = {{{1.0, 2.0}}, {{5.0, 2.0}}, {{1.0, 2.0}}};
  const Motion motion = drive_route(plan, 1);
  const std::vector<Visit> all = visits(motion, {3.0, 2.0}, 0.5);
  ASSERT_EQ(all.size(), 2U);
  for (const Visit& visit : all) {
    EXPECT_NEAR(norm(motion.at(visit.from_s).position - Point{3.0, 2.0}), 0.5, 0.01);
    EXPECT_NEAR(norm(motion.at(visit.to_s).position - Point{3.0, 2.0}), 0.5, 0.01);
    EXPECT_GT(visit.to_s - visit.from_s, 2.0);  // a metre at 0.35 m/s
  }
}

}  // namespace
}  // namespace wainscot::simulator
