#include "io/map/map_reader.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/map/map_folder.hpp"
#include "io/robot/robot_yaml_writer.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

Drive recorded_drive() {
  Drive drive = sample_drive();
  drive.robot.drive = DriveConstants{};
  drive.robot.drive->left_m_per_tick = drive.robot.drive->right_m_per_tick = 1e-4;
  drive.robot.drive->track_width_m = 0.31;
  drive.wheels = {{0.5, 10, -20}, {1.0, 15, 1LL << 40}, {2.5, 20, 7}};
  drive.breaks = {1};
  drive.gyro = {{0.75, -0.5}};
  drive.markers = {{1.25, "door 'a'", 0.5, -0.25, std::nullopt}, {1.5, "b", 1.0, 2.0, 0.125}};
  drive.marker_map = {{"b", 3.0, 4.0, 1.5}};
  drive.hints = {{1.0, 2.0, false}};
  return drive;
}

class MapReader : public testing::Test {
 protected:
  void SetUp() override { write_map(sample_map(), recorded_drive(), sample_origin(), map_, false); }

  std::string refusal() const {
    try {
      read_map(map_);
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  }
  void change(const std::string& sql) const {
    SQLite::Database((map_ / "graph.sqlite").string(), SQLite::OPEN_READWRITE).exec(sql);
  }

  ReaderFolder folder_;
  std::filesystem::path map_ = folder_.path() / "map";
};

TEST_F(MapReader, TheMapComesBack) {
  const SavedMap saved = read_map(map_);
  const Map sample = sample_map();
  EXPECT_EQ(saved.origin.program_version, "9.8.7");
  EXPECT_TRUE(saved.origin.simulated);
  EXPECT_EQ(saved.origin.frame, FrameSetBy::first_scan);
  EXPECT_EQ(saved.map.grid.frame.columns, sample.grid.frame.columns);
  ASSERT_EQ(saved.map.trajectory.size(), sample.trajectory.size());
  EXPECT_NEAR(saved.map.trajectory[2].odometry.y_m, 0.3, 1e-6);
  ASSERT_EQ(saved.map.graph.nodes.size(), 2U);
  EXPECT_EQ(saved.map.graph.nodes[1].pose.y_m, 0.25);
  EXPECT_EQ(saved.map.graph.nodes[1].covariance, sample.graph.nodes[1].covariance);
  ASSERT_EQ(saved.map.graph.edges.size(), 1U);
  EXPECT_EQ(saved.map.graph.edges[0].kind, EdgeKind::match);
  EXPECT_EQ(saved.map.graph.edges[0].information, sample.graph.edges[0].information);
  ASSERT_EQ(saved.map.candidates.size(), 2U);
  EXPECT_EQ(saved.map.candidates[0].verdict, Verdict::accepted);
  EXPECT_TRUE(std::isnan(saved.map.candidates[1].chi_squared));
  EXPECT_EQ(saved.map.candidates[1].reason, sample.candidates[1].reason);
  ASSERT_EQ(saved.map.constants.size(), 2U);
  EXPECT_EQ(saved.map.constants[0].found_sd, 0.0213);
  ASSERT_EQ(saved.map.wall_pieces.size(), 1U);
  EXPECT_EQ(saved.map.wall_pieces[0].middle_m, sample.wall_pieces[0].middle_m);
  EXPECT_EQ(saved.map.wall_pieces[0].nodes, 7);
}

TEST_F(MapReader, TapesThatHoldTheScaleComeBack) {
  EXPECT_TRUE(read_map(map_).map.tapes.empty());
  Map taped = sample_map();
  taped.tapes = {{"hall", {0.0, 1.0}, {4.0, 1.5}, 4.012, 0.002, 4.02, ""},
                 {"typo", {0.0, 0.0}, {0.0, 3.0}, 3.1, 0.002, 3.0, "it says 3.100 m"}};
  write_map(taped, recorded_drive(), sample_origin(), map_, true);
  const std::vector<MappedTape> tapes = read_map(map_).map.tapes;
  ASSERT_EQ(tapes.size(), 1U);
  EXPECT_EQ(tapes[0].name, "hall");
  EXPECT_EQ(tapes[0].to_m, Eigen::Vector2d(4.0, 1.5));
  EXPECT_EQ(tapes[0].tape_m, 4.012);
  change("DROP TABLE tapes; CREATE VIEW tapes AS SELECT 1 AS name");
  EXPECT_NE(refusal().find("tapes is no plain table"), std::string::npos) << refusal();
}

TEST_F(MapReader, WhatSetTheFrameComesBack) {
  for (const FrameSetBy frame : {FrameSetBy::walls, FrameSetBy::user}) {
    MapOrigin origin = sample_origin();
    origin.frame = frame;
    write_map(sample_map(), recorded_drive(), origin, map_, true);
    EXPECT_EQ(read_map(map_).origin.frame, frame);
  }
}

TEST_F(MapReader, TheRecordingComesBackWithTheNodesScans) {
  const SavedMap saved = read_map(map_);
  const Drive recorded = recorded_drive();
  ASSERT_EQ(saved.drives.size(), 1U);
  const Drive& drive = saved.drives[0];
  EXPECT_EQ(drive.name, recorded.name);
  EXPECT_EQ(robot_yaml_text(drive.robot), robot_yaml_text(recorded.robot));
  ASSERT_EQ(drive.wheels.size(), 3U);
  EXPECT_EQ(drive.wheels[1].right_ticks, 1LL << 40);
  EXPECT_EQ(drive.breaks, recorded.breaks);
  ASSERT_EQ(drive.scans.size(), 2U);  // the second of three is no node's
  EXPECT_EQ(saved.map.graph.nodes[1].scan, 1U);
  EXPECT_EQ(drive.scans[1].time_s, 2.0);
  EXPECT_EQ(drive.scans[0].returns[1].range_m, 0.75F);
  EXPECT_EQ(drive.scans[0].returns[1].time_offset_s, 0.125F);
  EXPECT_EQ(drive.gyro.at(0).yaw_rate_rad_s, -0.5);
  EXPECT_EQ(drive.markers.at(0).marker, "door 'a'");
  EXPECT_FALSE(drive.markers.at(0).heading_rad.has_value());
  EXPECT_EQ(drive.markers.at(1).heading_rad, 0.125);
  EXPECT_EQ(drive.marker_map.at(0).y_m, 4.0);
  EXPECT_FALSE(drive.hints.at(0).same_place);
}

// What was added since form 2 began stands in rows and tables of its own, which the maps of before do not have (the
// sample has none of those tables).
TEST_F(MapReader, AMapOfAnEarlierProgramOfTheSameFormIsRead) {
  MapOrigin origin = sample_origin();
  origin.frame = FrameSetBy::walls;
  write_map(sample_map(), recorded_drive(), origin, map_, true);
  change("DELETE FROM meta WHERE key = 'frame_set_by'");
  const SavedMap saved = read_map(map_);
  EXPECT_EQ(saved.origin.frame, FrameSetBy::first_scan);
  EXPECT_EQ(saved.map.graph.nodes.size(), 2U);
}

TEST_F(MapReader, RefusesANewerOlderAndDamagedDatabaseInOneSentence) {
  change("PRAGMA user_version = 99");
  EXPECT_NE(refusal().find("newer form (99)"), std::string::npos);
  change("PRAGMA user_version = 1");
  EXPECT_NE(refusal().find("older form (1)"), std::string::npos);
  change("PRAGMA user_version = 2");
  change("PRAGMA foreign_keys = OFF; UPDATE edges SET to_node = 77");
  EXPECT_NE(refusal().find("number 77 of 2"), std::string::npos);
  change("UPDATE edges SET to_node = 1; UPDATE wall_pieces SET x_m = 1e300");
  EXPECT_NE(refusal().find("row 1 of wall_pieces: x_m is 1e+300"), std::string::npos);
  change("DROP TABLE edges");
  EXPECT_NE(refusal().find("is damaged"), std::string::npos);
  folder_.write("map/graph.sqlite", "not a database at all, though long enough to be looked at");
  EXPECT_NE(refusal().find("graph.sqlite: is damaged"), std::string::npos);
  std::filesystem::remove(map_ / "graph.sqlite");
  EXPECT_NE(refusal().find("graph.sqlite: is missing from the map"), std::string::npos);
}

// A number that no map has would come out again as a distance, with a stated uncertainty.
TEST_F(MapReader, RefusesNumbersThatCannotBeAndSaysWhere) {
  const auto refused_after = [this](const std::string& sql, const std::string& undo) {
    change(sql);
    const std::string said = refusal();
    change(undo);
    return said;
  };
  const auto has = [](const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
  };
  const std::string good = "UPDATE nodes SET x_m = 1.0, covariance_xx_m2 = 1e-4 WHERE node = 1";
  EXPECT_TRUE(has(refused_after("UPDATE nodes SET x_m = 9e999 WHERE node = 1", good),
                  "graph.sqlite: is damaged (row 2 of nodes: x_m is inf); build the map again"));
  EXPECT_TRUE(has(refused_after("UPDATE nodes SET x_m = 'far' WHERE node = 1", good), "x_m is no number"));
  EXPECT_TRUE(has(refused_after("UPDATE nodes SET covariance_xx_m2 = -1 WHERE node = 1", good), "xx_m2 is -1"));
  EXPECT_TRUE(has(refused_after("UPDATE nodes SET covariance_xx_m2 = NULL WHERE node = 1", good), "xx_m2 is nan"));
  EXPECT_TRUE(has(refused_after("UPDATE wheels SET time_s = 1e300 WHERE rowid = 2",
                                "UPDATE wheels SET time_s = 1.0 WHERE rowid = 2"),
                  "row 2 of wheels: time_s is 1e+300"));
  EXPECT_TRUE(has(refused_after("UPDATE constants SET found_sd = -0.1", "UPDATE constants SET found_sd = 0.1"),
                  "found_sd is -0.1"));
  EXPECT_TRUE(
      has(refused_after("UPDATE wall_pieces SET half_length_m = -3", "UPDATE wall_pieces SET half_length_m = 1"),
          "half_length_m is -3"));
  EXPECT_EQ(refusal(), "");
  EXPECT_TRUE(has(refused_after("UPDATE scans SET points = x'0000C07F0000000000000000' WHERE node = 1", ""),
                  "a scan's points hold something that is no number"));
  change("UPDATE drives SET robot_yaml = 'lidar: ['");
  EXPECT_TRUE(has(refusal(), "graph.sqlite: is damaged (its robot_yaml:1: is not YAML"));
}

// Inner pages of a table that lead to one another again and again: 40 kilobytes give a thousand million rows.
TEST_F(MapReader, RefusesRowsWithoutEnd) {
  change(
      "DELETE FROM wheels; WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 20000) "
      "INSERT INTO wheels SELECT 1, i, i, i, 0 FROM n");
  const std::filesystem::path file = map_ / "graph.sqlite";
  const auto root = [&file] {
    const SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
    SQLite::Statement query(database, "SELECT rootpage FROM sqlite_schema WHERE name = 'wheels'");
    query.executeStep();
    return static_cast<std::size_t>(query.getColumn(0).getInt());
  }();
  std::ifstream in(file, std::ios::binary);
  std::string bytes{std::istreambuf_iterator<char>(in), {}};
  in.close();
  // Form: https://www.sqlite.org/fileformat2.html, 1.6: an inner page's last child at 8, its cells' places from 12 on,
  // each cell beginning with its child.
  const auto page = [&bytes](std::size_t number) {
    return bytes.begin() + static_cast<std::ptrdiff_t>(4096 * (number - 1));
  };
  const auto at = [&bytes](std::size_t place) {
    return static_cast<std::size_t>(static_cast<unsigned char>(bytes[place]));
  };
  const std::size_t root_at = 4096 * (root - 1);
  ASSERT_EQ(at(root_at), 5U);  // an inner page
  const std::size_t cells = 256 * at(root_at + 3) + at(root_at + 4);
  ASSERT_GT(cells, 50U);
  std::vector<std::size_t> places = {8};
  for (std::size_t i = 0; i < cells; ++i) places.push_back(256 * at(root_at + 12 + 2 * i) + at(root_at + 13 + 2 * i));
  std::vector<std::size_t> children;
  for (const std::size_t place : places) {
    const std::size_t child = root_at + place;
    children.push_back((at(child) << 24U) + (at(child + 1) << 16U) + (at(child + 2) << 8U) + at(child + 3));
  }
  // Root, then four inner pages below one another, and a leaf at the end.
  std::vector<std::size_t> chain = {root, children[1], children[2], children[3], children[4]};
  const std::string inner(page(root), page(root) + 4096);
  for (std::size_t k = 0; k < chain.size(); ++k) {
    const std::size_t below = k + 1 < chain.size() ? chain[k + 1] : children[5];
    std::copy(inner.begin(), inner.end(), page(chain[k]));
    for (const std::size_t place : places) {
      for (std::size_t i = 0; i < 4; ++i) {
        bytes[4096 * (chain[k] - 1) + place + i] = static_cast<char>(below >> (8 * (3 - i)));
      }
    }
  }
  std::ofstream(file, std::ios::binary) << bytes;
  const std::string said = refusal();
  EXPECT_NE(said.find("graph.sqlite: is damaged (row "), std::string::npos) << said;
  EXPECT_NE(said.find(" of wheels no longer fits into the file"), std::string::npos) << said;
}

// Which knot of the sweep's motion a return belongs to is counted by its time: one before the first beam read memory
// that is none of the knots'.
TEST_F(MapReader, RefusesReturnsThatNoLidarGives) {
  const auto said_with = [this](const std::string& points) {
    change("UPDATE scans SET points = x'" + points + "' WHERE node = 0");
    return refusal();
  };
  // Angle, range and time of two returns each.
  EXPECT_NE(said_with("0000003F0000803F000080BF0000003F0000803F0000003E")
                .find("graph.sqlite: is damaged (return 1 of a scan is one that no lidar gives); build the map again"),
            std::string::npos);  // at -1 s
  EXPECT_NE(said_with("0000003F0000803F0000803E0000003F0000803F0000003E").find("return 2 of a scan"),
            std::string::npos);  // times that go back
  EXPECT_NE(said_with("0000003F00000000000000000000003F0000803F0000003E").find("return 1 of a scan"),
            std::string::npos);  // a range of 0
  EXPECT_NE(said_with("000080400000803F000000000000003F0000803F0000003E").find("return 1 of a scan"),
            std::string::npos);  // at 4 rad
  EXPECT_EQ(said_with("0000003F0000803F000000000000003F0000803F0000003E"), "");
}

TEST_F(MapReader, RefusesConstantsThatCannotBe) {
  const auto said_after = [this](const std::string& name, double found) {
    SQLite::Database database((map_ / "graph.sqlite").string(), SQLite::OPEN_READWRITE);
    SQLite::Statement insert(database, "INSERT OR REPLACE INTO constants VALUES (?, '1', 1, 0.1, ?, 0.1, 1)");
    insert.bind(1, name);
    insert.bind(2, found);
    insert.exec();
    const std::string said = refusal();
    database.exec("DELETE FROM constants");
    return said;
  };
  for (const double found : {0.0, -1.0, 1e9}) {
    for (const std::string key : {"lidar.range_scale", "lidar.clock_rate", "gyro.scale", "drive.track_width_m"}) {
      EXPECT_NE(said_after(key, found).find(key.substr(key.find('.') + 1) + " is "), std::string::npos) << key << found;
    }
    const std::string way = "odometry's way, true / recorded";
    EXPECT_NE(said_after(way, found).find(way + " was stated as 1 and found as "), std::string::npos) << found;
  }
  EXPECT_NE(said_after("drive.left_m_per_tick", 0.0), "");
  EXPECT_NE(said_after("lidar.x_m", 1e9), "");
  EXPECT_NE(said_after("lidar.unknown", 1.0), "");
  EXPECT_EQ(said_after("lidar.x_m", -1.0), "");
  EXPECT_EQ(said_after("lidar.sweep_s", 0.9), "");
  // No scan's times are multiplied by infinity: where 0 is among them, what comes out is no number.
  change("INSERT INTO constants VALUES ('lidar.sweep_s', 's', 1e-310, 0.1, 1.0, 0.1, 1)");
  EXPECT_NE(refusal().find("lidar.sweep_s was stated as "), std::string::npos) << refusal();
  change("DELETE FROM constants");
  EXPECT_EQ(said_after("lidar.range_scale", 1.01), "");
}

TEST_F(MapReader, RefusesWallsThatNoMapHas) {
  change("UPDATE wall_pieces SET half_length_m = 1e4");
  EXPECT_NE(refusal().find("row 1 of wall_pieces: half_length_m is 1e+04"), std::string::npos) << refusal();
  change("UPDATE wall_pieces SET half_length_m = 1.5");
  EXPECT_EQ(refusal(), "");
}

TEST_F(MapReader, RefusesPartsThatContradictOneAnother) {
  change("UPDATE meta SET value = '0.1' WHERE key = 'cell_size_m'");
  EXPECT_NE(refusal().find("grid.yaml says that a cell has 0.05 m and graph.sqlite 0.1 m"), std::string::npos);
  EXPECT_THROW(read_grid_of(map_, read_paths(map_)), InputError);
  change("UPDATE meta SET value = '0.05' WHERE key = 'cell_size_m'; UPDATE nodes SET x_m = 1.5 WHERE node = 1");
  EXPECT_NE(refusal().find("(1.500, 0.250) m at 2.000000 s (node 1), but trajectory.csv (1.000, 0.250) m"),
            std::string::npos);
  EXPECT_EQ(read_grid_of(map_, read_paths(map_)).frame.columns, 3);
  change("UPDATE nodes SET x_m = 1 WHERE node = 1");
  EXPECT_EQ(refusal(), "");
}

TEST_F(MapReader, RefusesFilesThatDoNotBelongTogether) {
  std::ofstream(map_ / "odometry.csv", std::ios::app) << "9,0,0,0,1\n";
  EXPECT_NE(refusal().find("3 rows and odometry.csv 4"), std::string::npos);
}

TEST_F(MapReader, SeveralDrivesComeBack) {
  std::vector<Drive> drives = {recorded_drive(), sample_drives()[1]};
  drives[1].odometry = {{9.0, {1.0, 2.0, 0.5}}, {11.0, {1.5, 2.0, 0.5}}};
  write_map(sample_map_of_two(), drives, sample_origin(), map_, true);
  const SavedMap saved = read_map(map_);
  ASSERT_EQ(saved.drives.size(), 2U);
  EXPECT_EQ(saved.drives[1].name, "tuesday");
  ASSERT_EQ(saved.drives[1].scans.size(), 1U);
  EXPECT_EQ(saved.drives[1].scans[0].returns[0].range_m, 1.5F);
  EXPECT_EQ(saved.drives[1].odometry.size(), 2U);
  ASSERT_EQ(saved.map.graph.nodes.size(), 3U);
  EXPECT_EQ(saved.map.graph.nodes[2].drive, 2);
  EXPECT_EQ(saved.map.graph.nodes[2].scan, 0U);
  ASSERT_EQ(saved.map.trajectory.size(), 5U);
  EXPECT_EQ(read_paths(map_).back().drive, 2);
  EXPECT_EQ(saved.map.trajectory[3].drive, 2);
}

}  // namespace
}  // namespace wainscot
