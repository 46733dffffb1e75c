#include "io/page/report_data.hpp"

#include <cstdint>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "core/angles.hpp"
#include "io/markup.hpp"
#include "scanmatch/motion_correction.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::json;

/// A table as the page's script reads it, written independently of the writer: by column, in whole units.
std::vector<std::vector<std::int64_t>> unpacked(const std::string& text, std::size_t columns) {
  const std::string alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::vector<int> bytes;
  unsigned held = 0;
  int bits = 0;
  for (const char c : text) {
    if (c == '=') break;
    held = held << 6 | static_cast<unsigned>(alphabet.find(c));
    bits += 6;
    if (bits >= 8) bytes.push_back(static_cast<int>(held >> (bits -= 8) & 255U));
  }
  std::vector<std::vector<std::int64_t>> table(columns);
  std::vector<std::int64_t> last(columns, 0);
  std::int64_t value = 0;
  int shift = 0;
  std::size_t column = 0;
  for (const int byte : bytes) {
    value |= static_cast<std::int64_t>(byte & 127) << shift;
    shift += 7;
    if (byte >= 128) continue;
    last[column] += value % 2 == 0 ? value / 2 : -(value + 1) / 2;
    table[column].push_back(last[column]);
    column = (column + 1) % columns;
    value = 0;
    shift = 0;
  }
  return table;
}

Json sample_data() { return Json::parse(report_data(sample_map(), sample_drive())); }

TEST(ReportData, HoldsTheTrajectory) {
  const Json trajectory = sample_data()["trajectory"];
  EXPECT_EQ(trajectory["rows"], 3);
  const auto columns = unpacked(trajectory["packed"], trajectory["columns"].size());
  EXPECT_EQ(columns[0], (std::vector<std::int64_t>{1000, 1500, 2000}));
  EXPECT_EQ(columns[1], (std::vector<std::int64_t>{0, 5000, 10000}));
  EXPECT_EQ(columns[2], (std::vector<std::int64_t>{0, 0, 2500}));
  EXPECT_EQ(columns[4], (std::vector<std::int64_t>{0, 5100, 10200}));
}

// The page's tape measure leaves out the faces of things that have gone.
TEST(ReportData, SaysWhichWallPiecesStand) {
  Map map = sample_map();
  map.wall_pieces.push_back(map.wall_pieces.front());
  map.wall_pieces.back().middle_m = {20.0, 1.0};
  map.grid = {{0.05, 20, 0, 40, 40}, std::vector<float>(1600, 0.02F)};  // free floor round the first, the second beyond
  const Json pieces = Json::parse(report_data(map, sample_drive()))["pieces"];
  ASSERT_EQ(pieces["rows"], 2);
  const auto columns = unpacked(pieces["packed"], pieces["columns"].size());
  EXPECT_EQ(columns.back(), (std::vector<std::int64_t>{0, 1}));
}

// Node 1 looks 0.2 rad to the left; its covariance is turned into the map frame: 1e-4 and 4e-4 m², 2e-5 across.
TEST(ReportData, TurnsCovariancesIntoTheMapFrame) {
  const Json nodes = sample_data()["nodes"];
  const auto columns = unpacked(nodes["packed"], nodes["columns"].size());
  const double c = std::cos(0.2);
  const double s = std::sin(0.2);
  EXPECT_NEAR(static_cast<double>(columns[4][1]), 1e8 * (c * c * 1e-4 - 2.0 * c * s * 2e-5 + s * s * 4e-4), 1.0);
  EXPECT_NEAR(static_cast<double>(columns[6][1]), 1e8 * (s * s * 1e-4 + 2.0 * c * s * 2e-5 + c * c * 4e-4), 1.0);
}

TEST(ReportData, HoldsTheScansOfTheNodes) {
  const Json scans = sample_data()["scans"];
  const auto lengths = unpacked(scans["bytes_of_node"]["packed"], 1);
  ASSERT_EQ(lengths[0].size(), 2U);
  const auto all = unpacked(scans["packed"], 2);
  // Two returns of the first scan and one of the second, a metre ahead; the lidar was found turned by 0.431 degrees.
  EXPECT_EQ(all[0].size(), 3U);
  EXPECT_GT(lengths[0][0], lengths[0][1]);
}

TEST(ReportData, SaysWhyACandidateWasRejected) {
  const Json data = sample_data();
  EXPECT_EQ(data["reasons"], (Json{"walls coincide", "a wall was seen through"}));
  const auto columns = unpacked(data["candidates"]["packed"], data["candidates"]["columns"].size());
  EXPECT_EQ(columns[11], (std::vector<std::int64_t>{1, 0}));
  EXPECT_EQ(columns[12], (std::vector<std::int64_t>{0, 1}));
  EXPECT_EQ(columns[10], (std::vector<std::int64_t>{250, -1'000'000'000}));
}

// 2026-11-27: relations of the stated mounting were drawn between returns of the found one, centimetres apart where the
// robot came back with another heading.
TEST(ReportData, CarriesCandidatesToTheMountingThatWasFound) {
  const Map map = sample_map();
  const Drive drive = sample_drive();
  const Pose2 stated = lidar_model(drive.robot.lidar).mounting;
  const Pose2 found{stated.x_m, stated.y_m, stated.heading_rad + 0.431 * kDegree};  // of the sample's constants
  const Pose2 between_lidars = inverse(stated) * map.candidates[0].found * stated;
  const Pose2 expected = found * between_lidars * inverse(found);
  const Json data = sample_data();
  const auto columns = unpacked(data["candidates"]["packed"], data["candidates"]["columns"].size());
  EXPECT_NEAR(1e-3 * static_cast<double>(columns[5][0]), expected.x_m, 0.6e-3);
  EXPECT_NEAR(1e-3 * static_cast<double>(columns[6][0]), expected.y_m, 0.6e-3);
  EXPECT_NEAR(1e-4 * static_cast<double>(columns[7][0]), expected.heading_rad, 0.6e-4);
}

TEST(ReportData, HoldsAnyText) {
  Map map = sample_map();
  map.candidates[0].reason = "</script><script>alert(1)</script> & \"more\" \xff";
  const std::string text = json_without_markup(report_data(map, sample_drive()));
  EXPECT_EQ(text.find_first_of("<>&"), std::string::npos);
  const std::string reason = Json::parse(text)["reasons"][0];
  EXPECT_EQ(reason.substr(0, 40), "</script><script>alert(1)</script> & \"mo");
}

// Beyond its bound the page keeps fewer returns, and then fewer scans: the first node's is always there.
TEST(ReportData, StaysSmallHoweverLongTheDrive) {
  Map map = sample_map();
  Drive drive = sample_drive();
  drive.scans[0].returns.clear();
  for (int i = 0; i < 300; ++i) drive.scans[0].returns.push_back({0.02F * static_cast<float>(i), 3.0F, 0.0F});
  drive.scans[2] = drive.scans[0];
  map.graph.nodes.resize(64, map.graph.nodes[1]);
  ReportDataOptions options;
  options.most_scan_bytes = 4000;
  const Json scans = Json::parse(report_data(map, drive, options))["scans"];
  EXPECT_LE(scans["packed"].get<std::string>().size(), 4000U);
  EXPECT_GT(scans["packed"].get<std::string>().size(), 1000U);
  EXPECT_GT(scans["spacing_m"], 0.03);
  EXPECT_GT(scans["every"], 1);
  EXPECT_GT(unpacked(scans["bytes_of_node"]["packed"], 1)[0][0], 0);
}

TEST(ReportData, IsTheSameEachTime) {
  EXPECT_EQ(report_data(sample_map(), sample_drive()), report_data(sample_map(), sample_drive()));
}

TEST(ReportData, AnEmptyMapIsNoError) { EXPECT_EQ(Json::parse(report_data(Map{}, Drive{}))["trajectory"]["rows"], 0); }

}  // namespace
}  // namespace wainscot
