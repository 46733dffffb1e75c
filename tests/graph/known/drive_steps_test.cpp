#include "graph/known/drive_steps.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// Two seconds of an arc in the crooked room, a scan each second.
Drive arc() {
  Drive drive;
  drive.robot.lidar = still_lidar();
  for (int i = -1; i <= 21; ++i) {
    const double time_s = 0.1 * i;
    drive.odometry.push_back({time_s, exp({0.3 * time_s, 0.0, 0.5 * time_s})});
  }
  for (const double time_s : {0.0, 1.0, 2.0}) {
    drive.scans.push_back(scan_at(crooked_room(), exp({0.3 * time_s, 0.0, 0.5 * time_s}), time_s));
  }
  return drive;
}

TEST(DriveSteps, GoBothWays) {
  const Drive drive = arc();
  const DriveSteps steps(drive, lidar_model(drive.robot.lidar));
  EXPECT_EQ(steps.scans(), (std::vector<std::size_t>{0, 1, 2}));
  EXPECT_EQ(steps.time_s(1), 1.0);
  EXPECT_EQ(steps.noise().near_m, 0.005);
  const DriveStep on = steps.at(2, 1.0, 2.0);
  const DriveStep back = steps.at(1, 2.0, 1.0);
  EXPECT_EQ(on.points.size(), drive.scans[2].returns.size());
  EXPECT_EQ(back.points.size(), drive.scans[1].returns.size());
  EXPECT_LT((log(on.moved) - Tangent2(0.3, 0.0, 0.5)).norm(), 1e-9);
  EXPECT_LT(log(on.moved * back.moved).norm(), 1e-9);
  EXPECT_LT((on.speed - Tangent2(0.3, 0.0, 0.5)).norm(), 1e-6);
  EXPECT_LT((back.speed - on.speed).norm(), 1e-6) << "as it was driven";
}

TEST(DriveSteps, TheWayBackIsAsUncertainAsTheWayOn) {
  const Drive drive = arc();
  const DriveSteps steps(drive, lidar_model(drive.robot.lidar));
  const DriveStep on = steps.at(2, 0.0, 2.0);
  const DriveStep back = steps.at(0, 2.0, 0.0);
  Eigen::Matrix3d follows;  // what an error of the way on does to its inverse
  for (int i = 0; i < 3; ++i) {
    constexpr double kSmall = 1e-6;
    follows.col(i) = log(on.moved * inverse(on.moved * exp(kSmall * Tangent2::Unit(i)))) / kSmall;
  }
  const Eigen::Matrix3d expected = follows * on.covariance * follows.transpose();
  EXPECT_GT(expected.norm(), 0.0);
  EXPECT_LT((back.covariance - expected).norm(), 1e-4 * expected.norm());
}

TEST(DriveSteps, ADriveWithoutOdometryOrScansIsRefused) {
  Drive drive = arc();
  drive.scans.clear();
  EXPECT_THROW(DriveSteps(drive, {}), PoorData);
  drive = arc();
  drive.odometry.clear();
  EXPECT_THROW(DriveSteps(drive, {}), PoorData);
}

}  // namespace
}  // namespace wainscot
