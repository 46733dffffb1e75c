#include "apps/simulator/changing_homes.hpp"

#include <gtest/gtest.h>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/people.hpp"

namespace wainscot::simulator {
namespace {

TEST(ChangingHomes, DoorsAreShutAtTimesAndNeverOnTheRobot) {
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    const Plan plan = closing_doors(seed);
    const Motion motion = drive_route(plan, seed);
    int doors = 0;
    for (const Wall& wall : plan.walls) {
      for (const Opening& opening : wall.openings) {
        if (!opening.leaf || opening.leaf->moves.empty()) continue;
        ++doors;
        const Point middle = wall.from + opening.at_m * unit(wall.to - wall.from);
        for (double t = 0.0; t < motion.duration_s(); t += 0.2) {
          double open_deg = opening.leaf->open_deg;
          for (const LeafMove& move : opening.leaf->moves) open_deg = move.from_s <= t ? move.open_deg : open_deg;
          if (open_deg > 0.0) continue;
          ASSERT_GT(norm(motion.at(t).position - middle), 1.3) << seed << ", " << t;
        }
      }
    }
    EXPECT_GE(doors, 3);
  }
}

TEST(ChangingHomes, FurnitureMovesWhileTheRobotIsElsewhere) {
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    const Plan plan = moved_furniture(seed);
    const Motion motion = drive_route(plan, seed);
    int moved = 0;
    for (const Furniture& item : plan.furniture) {
      for (const FurnitureMove& move : item.moves) {
        ++moved;
        EXPECT_GE(norm(move.centre - item.centre), 0.28);
        EXPECT_LE(norm(move.centre - item.centre), 1.52);
        EXPECT_GT(norm(motion.at(move.from_s).position - item.centre), 2.4);
        EXPECT_GT(norm(motion.at(move.from_s).position - move.centre), 2.4);
      }
    }
    EXPECT_GE(moved, 3);
    EXPECT_LE(moved, 8);
  }
}

TEST(ChangingHomes, SomebodyIsAlwaysBehindTheRobot) {
  const Plan plan = followed_robot(1);
  ASSERT_GE(plan.people.size(), 1U);
  const Motion motion = drive_route(plan, 1);
  const People people(plan, motion);
  for (double t = 5.0; t < motion.duration_s(); t += 1.0) {
    double nearest = 1e9;
    for (const Leg& leg : people.legs(t)) nearest = std::min(nearest, norm(leg.centre - motion.at(t).position));
    EXPECT_LT(nearest, 2.0) << t;
  }
}

}  // namespace
}  // namespace wainscot::simulator
