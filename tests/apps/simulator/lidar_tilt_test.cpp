#include "apps/simulator/lidar_tilt.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "apps/simulator/simulate.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {
namespace {

TEST(LidarTilt, TiltsOnThresholdsAndSeesTheFloorThen) {
  Plan plan = two_rooms();
  plan.defects.threshold_tilt_deg = Knob::fixed(2.0);
  const Motion motion = drive_route(plan, 1);
  double up = 0.0;
  double down = 0.0;
  for (const Tilt& t : tilt_on_ridges(plan, motion, 1)) {
    up = std::max(up, t.pitch_rad);
    down = std::min(down, t.pitch_rad);
  }
  EXPECT_NEAR(up, 2.0 * kDegree_rad, 0.1 * kDegree_rad);
  EXPECT_NEAR(down, -2.0 * kDegree_rad, 0.1 * kDegree_rad);

  plan.robot.lidar.height_m = 0.05;  // answers from 1.4 m on at 2 degrees
  const SimulatedDrive tilted = simulate(plan, 1);
  plan.defects.threshold_tilt_deg = Knob::fixed(0.0);
  const SimulatedDrive level = simulate(plan, 1);
  ASSERT_EQ(tilted.scans.size(), level.scans.size());
  int shorter = 0;
  for (std::size_t i = 0; i < level.scans.size(); ++i) {
    for (std::size_t k = 0; k < 360; ++k) {
      if (!(tilted.scans[i].range_m[k] < level.scans[i].range_m[k] - 0.1F)) continue;
      ++shorter;
      EXPECT_GT(tilted.scans[i].range_m[k], 0.05F / std::sin(2.3F * static_cast<float>(kDegree_rad)));
    }
  }
  EXPECT_GT(shorter, 20);
}

TEST(LidarTilt, ACarriedOneIsRaisedAndUnsteadyWhileItIsCarriedOnly) {
  Plan plan = empty_room();
  plan.route[1].lift = Lift{{{3.0, 3.0}}, 90.0};
  const Motion motion = drive_route(plan, 1);
  ASSERT_EQ(motion.carried().size(), 1U);
  const Carried carried = motion.carried()[0];
  const std::vector<Hold> holds = holds_while_carried(motion, 1);
  double squares = 0.0;
  int inside = 0;
  for (std::size_t i = 0; i < holds.size(); ++i) {
    const double t = static_cast<double>(i) * kTiltStep_s;
    if (t < carried.from_s - kTiltStep_s || t > carried.to_s) {
      EXPECT_EQ(holds[i].raised_m, 0.0);
      EXPECT_EQ(holds[i].tilt.pitch_rad, 0.0);
    } else if (t > carried.from_s + 1.0 && t < carried.to_s - 1.0) {
      EXPECT_NEAR(holds[i].raised_m, 0.9, 1e-9);
      squares += holds[i].tilt.pitch_rad * holds[i].tilt.pitch_rad;
      ++inside;
    }
  }
  ASSERT_GT(inside, 100);
  EXPECT_GT(std::sqrt(squares / inside), 1.0 * kDegree_rad);
  EXPECT_TRUE(holds_while_carried(drive_route(empty_room(), 1), 1).empty());
}

}  // namespace
}  // namespace wainscot::simulator
