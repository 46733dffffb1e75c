#include "graph/track/seen_slips.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

PredictedStep step_known_to_a_centimetre() {
  PredictedStep step;
  step.predicted = {1.0, 2.0, 0.5};
  step.covariance = 1e-4 * Eigen::Matrix3d::Identity();
  return step;
}

IcpResult found_off_by(const Pose2& error) {
  IcpResult found;
  found.pose = step_known_to_a_centimetre().predicted * error;
  found.information = 1e6 * Eigen::Matrix3d::Identity();
  return found;
}

TEST(SeenSlips, OfNoneNothingIsLearnt) { EXPECT_TRUE(SeenSlips().variance_of_a_step().isZero()); }

TEST(SeenSlips, NoiseIsNoSlip) {
  SeenSlips slips;
  for (int i = 0; i < 10; ++i) slips.add(step_known_to_a_centimetre(), found_off_by({0.02, -0.01, 0.01}));
  EXPECT_TRUE(slips.variance_of_a_step().isZero());
}

TEST(SeenSlips, AreSpreadOverAllStepsThatWouldHaveShownOne) {
  SeenSlips slips;
  for (int i = 0; i < 3; ++i) slips.add(step_known_to_a_centimetre(), found_off_by({}));
  slips.add(step_known_to_a_centimetre(), found_off_by({0.4, 0.0, 0.0}));
  EXPECT_NEAR(slips.variance_of_a_step()[0], 0.4 * 0.4 / 4.0, 1e-9);
  EXPECT_NEAR(slips.variance_of_a_step()[2], 0.0, 1e-12);
}

}  // namespace
}  // namespace wainscot
