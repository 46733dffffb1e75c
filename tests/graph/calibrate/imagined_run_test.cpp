#include "graph/calibrate/imagined_run.hpp"

#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

constexpr WheelGeometry kGeometry{1e-5, -1.1e-5, 0.3};  // the right counter runs backwards
constexpr double kQuarter = 0.5 * std::numbers::pi;

TEST(ImaginedRun, EndsWhereItIsToldTo) {
  const Pose2 straight = end_of_run(imagined_run({2.0}, 0.0, kGeometry).wheels, kGeometry);
  EXPECT_NEAR(straight.x_m, 2.0, 1e-4);
  EXPECT_NEAR(straight.heading_rad, 0.0, 1e-4);
  const Pose2 turn = end_of_run(imagined_run({0.0}, 4.0 * kQuarter, kGeometry).wheels, kGeometry);
  EXPECT_NEAR(turn.x_m, 0.0, 1e-4);
  EXPECT_NEAR(turn.heading_rad, 4.0 * kQuarter, 1e-3);
  const Pose2 square = end_of_run(imagined_run({2.0, 2.0, 2.0, 2.0}, kQuarter, kGeometry).wheels, kGeometry);
  EXPECT_NEAR(square.x_m, 0.0, 1e-3);
  EXPECT_NEAR(square.y_m, 0.0, 1e-3);
}

TEST(ImaginedRun, IsAWholePathOfWhichAllIsMeasured) {
  const CalibrationRun run = imagined_run({2.0}, kQuarter, kGeometry);
  EXPECT_TRUE(run.whole_path);
  EXPECT_EQ(run.wheels.size(), 21U);
  EXPECT_TRUE(run.forward_m && run.left_m && run.turn_rad);
}

}  // namespace
}  // namespace wainscot
