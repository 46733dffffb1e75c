// The example of graph/known/locate.hpp whole, as a robot's program would have it.

#include <cmath>

#include <gtest/gtest.h>

#include "graph/known/locate.hpp"
#include "graph/mapping/mapper.hpp"
#include "graph/track/keyframes.hpp"
#include "io/map/known_map.hpp"
#include "io/map/map_folder.hpp"
#include "io/map/map_reader.hpp"
#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

/// A map on the disk, and the drive that it was made from.
struct MappedHouse {
  ReaderFolder folder;
  DrivenHouse driven_house = driven(ring_house());
  MappedHouse() {
    write_map(build_map(driven_house.drive, {}), driven_house.drive, {"test", true, true}, folder.path() / "house",
              false);
  }
};

TEST(LocateExample, ARobotFindsItselfScanByScan) {
  const MappedHouse mapped;

  // Once, when the robot's program starts.
  const SavedMap saved = read_map(mapped.folder.path() / "house");
  const KnownMap house = known_map(saved);
  const KnownRobot robot = with_found_constants(mapped.driven_house.drive, saved);
  const LidarConstants& lidar = robot.drive.robot.lidar;
  Locator locator(house, {lidar.noise_m, lidar.noise_per_m}, robot.options);

  // The robot's own odometry; here that of a recorded drive, from its middle on.
  const std::vector<OdometryStep> steps = odometry_steps(robot.drive);
  const OdometryPath path(steps, {});
  const OdometryNoise noise = odometry_noise(robot.drive.robot);
  const std::size_t first = robot.drive.scans.size() / 2;
  double before_s = robot.drive.scans[first].time_s;
  int found = 0;
  for (std::size_t i = first; i + 1 < robot.drive.scans.size(); ++i) {
    const Scan& scan = robot.drive.scans[i];
    const std::vector<ScanPoint> points = prepare_scan(scan, scan.time_s, robot.lidar, lidar, path, Tangent2::Zero());
    const Pose2 moved = between(path.pose_at(before_s), path.pose_at(scan.time_s));
    Eigen::Matrix3d covariance = stretch_covariance(steps, noise, before_s, scan.time_s);
    covariance.diagonal().array() += 1e-6;  // 1 mm: never quite certain
    before_s = scan.time_s;

    const Location& here = locator.add(points, moved, covariance);
    if (here.answer != Answer::found) continue;
    ++found;

    // What the simulator knows and a robot does not: where it really was.
    const Pose2 start = mapped.driven_house.true_pose(robot.drive.scans.front().time_s);
    const Pose2 truth = between(start, mapped.driven_house.true_pose(scan.time_s));
    EXPECT_LT((here.places.front().pose.translation() - truth.translation()).norm(), 0.03);
    EXPECT_LT(std::abs(wrap_angle(here.places.front().pose.heading_rad - truth.heading_rad)), 0.015);
  }
  EXPECT_GT(found, static_cast<int>(robot.drive.scans.size() / 3));
}

TEST(LocateExample, ARecordedDriveInOneCall) {
  const MappedHouse mapped;
  const SavedMap saved = read_map(mapped.folder.path() / "house");
  const KnownRobot robot = with_found_constants(mapped.driven_house.drive, saved);
  const std::vector<LocatedScan> located = locate_drive(known_map(saved), robot.drive, robot.lidar, robot.options);
  EXPECT_TRUE(robot.is_of_the_map);
  ASSERT_GT(located.size(), 100U);
  EXPECT_EQ(located.back().location.answer, Answer::found);
}

}  // namespace
}  // namespace wainscot
