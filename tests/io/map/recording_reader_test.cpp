#include "io/map/recording_reader.hpp"

#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "io/map/graph_database.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

class RecordingReader : public testing::Test {
 protected:
  RecordingReader() {
    std::vector<Drive> drives = sample_drives();
    drives[0].odometry = {{0.5, {0.0, 0.0, 0.0}}, {1.0, {0.5, -0.25, 7.0}}, {2.5, {1.0, 0.0, 0.0}}};
    drives[0].breaks = {2};
    drives[1].wheels = {{9.0, 1, -(1LL << 40)}, {11.0, 2, 3}};
    drives[1].gyro = {{9.5, 0.75}};
    drives[1].markers = {{9.25, "b", 1.0, 2.0, 0.125}};
    drives[1].marker_map = {{"b", 3.0, 4.0, std::nullopt}};
    drives[1].hints = {{9.0, 10.0, true}};
    write_graph_database(sample_map_of_two(), drives, sample_origin(), file_);
  }

  void change(const std::string& sql) const { SQLite::Database(file_.string(), SQLite::OPEN_READWRITE).exec(sql); }
  std::vector<Drive> read() const { return read_recordings(SQLite::Database(file_.string(), SQLite::OPEN_READONLY)); }

  ReaderFolder folder_;
  std::filesystem::path file_ = folder_.path() / "graph.sqlite";
};

TEST_F(RecordingReader, EachDriveHasItsOwn) {
  const std::vector<Drive> drives = read();
  ASSERT_EQ(drives.size(), 2U);
  EXPECT_EQ(drives[0].checksum, "0123abcd");
  ASSERT_EQ(drives[0].odometry.size(), 3U);
  EXPECT_EQ(drives[0].odometry[1].pose.heading_rad, 7.0);
  EXPECT_EQ(drives[0].breaks, std::vector<std::size_t>{2});
  EXPECT_TRUE(drives[0].wheels.empty());
  EXPECT_TRUE(drives[0].markers.empty());
  EXPECT_EQ(drives[1].name, "tuesday");
  EXPECT_EQ(drives[1].wheels.at(0).right_ticks, -(1LL << 40));
  EXPECT_EQ(drives[1].gyro.at(0).yaw_rate_rad_s, 0.75);
  EXPECT_EQ(drives[1].markers.at(0).time_s, 9.25);
  EXPECT_EQ(drives[1].markers.at(0).heading_rad, 0.125);
  EXPECT_EQ(drives[1].marker_map.at(0).marker, "b");
  EXPECT_EQ(drives[1].marker_map.at(0).x_m, 3.0);
  EXPECT_FALSE(drives[1].marker_map.at(0).heading_rad.has_value());
  EXPECT_TRUE(drives[1].hints.at(0).same_place);
  EXPECT_TRUE(drives[1].scans.empty());
}

TEST_F(RecordingReader, LinesAreThereWhereADriveFollowedThem) {
  EXPECT_TRUE(read()[1].followed.empty());
  std::vector<Drive> drives = sample_drives();
  drives[1].followed = {{9.0, 10.5, "hall", 0.004}};
  drives[1].line_map = {{"hall", 1.0, 2.0, 3.0, 4.0}};
  std::filesystem::remove(file_);
  write_graph_database(sample_map_of_two(), drives, sample_origin(), file_);
  const std::vector<Drive> found = read();
  EXPECT_TRUE(found[0].followed.empty());
  ASSERT_EQ(found[1].followed.size(), 1U);
  EXPECT_EQ(found[1].followed[0].line, "hall");
  EXPECT_EQ(found[1].followed[0].to_s, 10.5);
  EXPECT_EQ(found[1].followed[0].sd_m, 0.004);
  ASSERT_EQ(found[1].line_map.size(), 1U);
  EXPECT_EQ(found[1].line_map[0].x2_m, 3.0);
  EXPECT_EQ(found[1].line_map[0].y2_m, 4.0);
  change("UPDATE followed_stretches SET to_s = 8");
  EXPECT_THROW(read(), std::out_of_range);
  change("UPDATE followed_stretches SET to_s = 10, sd_m = 0");
  EXPECT_THROW(read(), std::out_of_range);
}

TEST_F(RecordingReader, RefusesDrivesThatAreNotThereAndNumbersThatCannotBe) {
  change("UPDATE odometry SET x_m = 1e300 WHERE rowid = 2");
  EXPECT_THROW(read(), std::out_of_range);
  change("UPDATE odometry SET x_m = 0.5; PRAGMA foreign_keys = OFF; UPDATE gyro SET drive = 3");
  EXPECT_THROW(read(), std::out_of_range);
  change("DROP TABLE gyro");
  EXPECT_THROW(read(), SQLite::Exception);
}

// What searches by time, subtracts counts and looks at the row before a break would otherwise do so with these.
TEST_F(RecordingReader, RefusesWhatNoDriveHas) {
  const auto said_after = [this](const std::string& change_to, const std::string& undo) -> std::string {
    change(change_to);
    std::string said;
    try {
      read();
    } catch (const std::out_of_range& fault) {
      said = fault.what();
    }
    change(undo);
    return said;
  };
  EXPECT_EQ(said_after("UPDATE odometry SET time_s = 0.25 WHERE rowid = 2",
                       "UPDATE odometry SET time_s = 1.0 WHERE rowid = 2"),
            "the times in odometry go back");
  EXPECT_EQ(said_after("UPDATE wheels SET time_s = 12 WHERE rowid = 1", "UPDATE wheels SET time_s = 9 WHERE rowid = 1"),
            "the times in wheels go back");
  EXPECT_EQ(said_after("INSERT INTO gyro VALUES (2, 9.25, 0)", "DELETE FROM gyro WHERE rowid > 1"),
            "the times in gyro go back");
  EXPECT_EQ(said_after("INSERT INTO marker_sightings VALUES (2, 9.0, 'b', 1, 2, NULL)",
                       "DELETE FROM marker_sightings WHERE rowid > 1"),
            "the times in marker_sightings go back");
  EXPECT_EQ(said_after("UPDATE odometry SET follows_break = 1 WHERE rowid = 1",
                       "UPDATE odometry SET follows_break = 0 WHERE rowid = 1"),
            "a drive's first row follows a break");
  EXPECT_EQ(said_after("UPDATE wheels SET left_ticks = 9223372036854775807 WHERE rowid = 1",
                       "UPDATE wheels SET left_ticks = 1 WHERE rowid = 1"),
            "a wheel's count is beyond 2^53");
  EXPECT_EQ(said_after("", ""), "");
}

}  // namespace
}  // namespace wainscot
