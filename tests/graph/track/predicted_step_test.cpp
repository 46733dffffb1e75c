#include "graph/track/predicted_step.hpp"

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// Straight on at 0.2 m/s for ten seconds.
struct StraightWay {
  Drive drive;
  std::vector<OdometryStep> steps;

  StraightWay() {
    drive.robot.lidar = still_lidar();
    for (int i = 0; i <= 20; ++i) drive.odometry.push_back({0.5 * i, {0.1 * i, 0.0, 0.0}});
    steps = odometry_steps(drive);
  }
};

TEST(PredictedStep, LeadsFromThePoseAsOdometrySays) {
  const StraightWay way;
  const OdometryPath path(way.steps, {});
  const PredictedStep step = StepPrediction(way.drive, way.steps, path).step({1.0, 2.0, 0.0}, 2.0, 7.0, 0.5);
  EXPECT_NEAR(step.predicted.x_m, 2.0, 1e-9);
  EXPECT_NEAR(step.predicted.y_m, 2.0, 1e-9);
  EXPECT_FALSE(step.unknown);
  EXPECT_GT(step.covariance(0, 0), 0.0);
  EXPECT_LT(step.covariance(0, 0), 0.1 * 0.1);
}

TEST(PredictedStep, SurprisingMatchesMakeItLooser) {
  const StraightWay way;
  const OdometryPath path(way.steps, {});
  const StepPrediction prediction(way.drive, way.steps, path);
  const Eigen::Matrix3d usual = prediction.step({}, 2.0, 7.0, 0.2).covariance;
  EXPECT_LT((prediction.step({}, 2.0, 7.0, 1.0).covariance - usual).norm(), 1e-15) << "no tighter than stated";
  EXPECT_LT((prediction.step({}, 2.0, 7.0, 9.0).covariance - 9.0 * usual).norm(), 1e-12);
}

TEST(PredictedStep, AWayOfUnknownLengthIsBoundByTheTime) {
  StraightWay way;
  way.steps[8].unknown = true;
  const OdometryPath path(way.steps, {});
  const StepPrediction prediction(way.drive, way.steps, path);
  const PredictedStep step = prediction.step({}, 3.0, 5.0, 1.0);
  EXPECT_TRUE(step.unknown);
  EXPECT_NEAR(std::sqrt(step.covariance(0, 0)), 3.0, 1e-9) << "a metre, and one for each second";
  EXPECT_FALSE(prediction.step({}, 5.0, 7.0, 1.0).unknown);
  EXPECT_NEAR(within_reach(1e6)(0, 0), 1e-4, 1e-12) << "never further than 100 m";
}

}  // namespace
}  // namespace wainscot
