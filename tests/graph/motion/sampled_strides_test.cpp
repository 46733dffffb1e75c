#include "graph/motion/sampled_strides.hpp"

#include <cmath>
#include <cstddef>

#include <gtest/gtest.h>

#include "core/angles.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

DrivenHouse house() {
  simulator::Plan plan = ring_house(1);
  plan.defects.range_noise_m = simulator::Knob::fixed(0.01);
  return driven(plan);
}

TEST(SampledStrides, AreTheLidarsMotionInAFewStretches) {
  const DrivenHouse made = house();
  SampleOptions few;
  few.most_scans = 160;
  few.most_beams = 180;
  few.corrections = 1;
  few.threads = 1;
  const SampledStrides sampled = sampled_strides(made.drive, few);
  EXPECT_LE(sampled.steps.size(), 155U);  // five stretches of 31 steps
  EXPECT_GT(sampled.steps.size(), 100U);
  ASSERT_GT(sampled.strides.size(), 10U);
  double turned_rad = 0.0;
  for (std::size_t i = 0; i < sampled.steps.size(); ++i) {
    const LidarStride& step = sampled.steps[i];
    if (i > 0) {
      EXPECT_GE(step.begin_s, sampled.steps[i - 1].begin_s);
    }
    if (!step.sure) continue;
    const double truth = wrap_angle(made.true_pose(step.end_s).heading_rad - made.true_pose(step.begin_s).heading_rad);
    EXPECT_NEAR(step.motion.heading_rad, truth, 1.5 * kDegree) << step.begin_s;
    turned_rad += std::abs(truth);
  }
  EXPECT_GT(turned_rad, 3.0) << "half of the stretches are those that turn most";
  few.threads = 4;
  const SampledStrides again = sampled_strides(made.drive, few);
  ASSERT_EQ(again.steps.size(), sampled.steps.size());
  for (std::size_t i = 0; i < again.steps.size(); ++i) {
    EXPECT_EQ(again.steps[i].motion.heading_rad, sampled.steps[i].motion.heading_rad);
  }
}

TEST(SampledStrides, ADriveWithoutScansOrMotionHasNone) {
  Drive drive = house().drive;
  drive.wheels.clear();
  EXPECT_TRUE(sampled_strides(drive, {}).steps.empty());
  EXPECT_TRUE(sampled_strides(Drive{}, {}).strides.empty());
}

}  // namespace
}  // namespace wainscot
