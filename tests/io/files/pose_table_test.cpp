#include "io/files/pose_table.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/map/trajectory_csv.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(PoseTable, ReadsWhatTheWriterWrote) {
  const ReaderFolder folder;
  const auto poses = read_pose_table(folder.write("trajectory.csv", trajectory_csv(sample_map().trajectory)));
  ASSERT_EQ(poses.size(), 3U);
  EXPECT_DOUBLE_EQ(poses[2].time_s, 2.0);
  EXPECT_DOUBLE_EQ(poses[2].pose.y_m, 0.25);
}

TEST(PoseTable, StopsAfterTheFirstDriveAndTakesAnyColumnOrder) {
  const ReaderFolder folder;
  const auto poses = read_pose_table(
      folder.write("p.csv", "# simulated\ndrive,heading_rad,time_s,y_m,x_m\n1,0.5,7,2,1\n1,0.5,8,2,3\n2,0.5,1,2,3"));
  ASSERT_EQ(poses.size(), 2U);
  EXPECT_DOUBLE_EQ(poses[0].pose.x_m, 1.0);
  EXPECT_DOUBLE_EQ(poses[0].pose.heading_rad, 0.5);
}

TEST(PoseTable, ReadsSeveralDrivesEachWithItsOwnClock) {
  const ReaderFolder folder;
  const auto rows = read_drive_poses(folder.write("p.csv", "time_s,x_m,y_m,heading_rad,drive\n7,1,2,0,1\n1,3,2,0,2\n"));
  ASSERT_EQ(rows.size(), 2U);
  EXPECT_EQ(rows[1].drive, 2);
  EXPECT_THROW(read_drive_poses(folder.write("q.csv", "time_s,x_m,y_m,heading_rad,drive\n7,1,2,0,1\n8,3,2,0,3\n")),
               InputError);
}

TEST(PoseTable, RefusesWhatIsNoTable) {
  const ReaderFolder folder;
  EXPECT_THROW(read_pose_table(folder.path() / "absent.csv"), InputError);
  EXPECT_THROW(read_pose_table(folder.write("p.csv", "time_s,x_m,y_m\n1,2,3\n")), InputError);
  EXPECT_THROW(read_pose_table(folder.write("q.csv", "time_s,x_m,y_m,heading_rad\n1,2,3,east\n")), InputError);
  EXPECT_THROW(read_pose_table(folder.write("r.csv", "time_s,x_m,y_m,heading_rad\n1,1e300,3,0\n")), InputError);
}

}  // namespace
}  // namespace wainscot
