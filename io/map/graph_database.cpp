#include "io/map/graph_database.hpp"

#include <algorithm>
#include <bit>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include <SQLiteCpp/SQLiteCpp.h>

#include "io/number_text.hpp"
#include "io/robot/robot_yaml_writer.hpp"

namespace wainscot {
namespace {

// No journal: a database that was not finished is thrown away with its folder. page_size is fixed so that the bytes do
// not depend on the file system.
constexpr const char* kSchema = R"(
PRAGMA page_size = 4096;
PRAGMA journal_mode = OFF;
PRAGMA synchronous = OFF;
PRAGMA encoding = 'UTF-8';
PRAGMA user_version = 2;
BEGIN;
-- One row a fact about the whole map.
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE drives (
  drive INTEGER PRIMARY KEY, name TEXT NOT NULL, checksum TEXT NOT NULL, robot_yaml TEXT NOT NULL);
-- What the robot recorded beside the scans. follows_break: nothing is known of the motion since the row before.
CREATE TABLE wheels (
  drive INTEGER NOT NULL REFERENCES drives, time_s REAL NOT NULL, left_ticks INTEGER NOT NULL,
  right_ticks INTEGER NOT NULL, follows_break INTEGER NOT NULL);
CREATE TABLE odometry (
  drive INTEGER NOT NULL REFERENCES drives, time_s REAL NOT NULL, x_m REAL NOT NULL, y_m REAL NOT NULL,
  heading_rad REAL NOT NULL, follows_break INTEGER NOT NULL);
CREATE TABLE gyro (drive INTEGER NOT NULL REFERENCES drives, time_s REAL NOT NULL, yaw_rate_rad_s REAL NOT NULL);
CREATE TABLE marker_sightings (
  drive INTEGER NOT NULL REFERENCES drives, time_s REAL NOT NULL, marker TEXT NOT NULL, x_m REAL NOT NULL,
  y_m REAL NOT NULL, heading_rad REAL);
CREATE TABLE surveyed_markers (
  drive INTEGER NOT NULL REFERENCES drives, marker TEXT NOT NULL, x_m REAL NOT NULL, y_m REAL NOT NULL,
  heading_rad REAL);
CREATE TABLE hints (
  drive INTEGER NOT NULL REFERENCES drives, time_1_s REAL NOT NULL, time_2_s REAL NOT NULL,
  same_place INTEGER NOT NULL);
-- Pose in the map frame; covariance in the node's own frame, against node 0.
CREATE TABLE nodes (
  node INTEGER PRIMARY KEY, drive INTEGER NOT NULL REFERENCES drives, scan INTEGER NOT NULL, time_s REAL NOT NULL,
  x_m REAL NOT NULL, y_m REAL NOT NULL, heading_rad REAL NOT NULL,
  covariance_xx_m2 REAL, covariance_xy_m2 REAL, covariance_yy_m2 REAL,
  covariance_xh_m_rad REAL, covariance_yh_m_rad REAL, covariance_hh_rad2 REAL);
-- points: 12 bytes a return, little-endian float32 angle_rad, range_m, time_offset_s, in the order of firing.
CREATE TABLE scans (
  node INTEGER PRIMARY KEY REFERENCES nodes, recorded_s REAL NOT NULL, returns INTEGER NOT NULL, points BLOB NOT NULL);
-- Pose of to_node in from_node; information (inverse covariance) in the frame of to_node.
CREATE TABLE edges (
  edge INTEGER PRIMARY KEY, kind TEXT NOT NULL, from_node INTEGER NOT NULL REFERENCES nodes,
  to_node INTEGER NOT NULL REFERENCES nodes, x_m REAL NOT NULL, y_m REAL NOT NULL, heading_rad REAL NOT NULL,
  information_xx_per_m2 REAL, information_xy_per_m2 REAL, information_yy_per_m2 REAL,
  information_xh_per_m_rad REAL, information_yh_per_m_rad REAL, information_hh_per_rad2 REAL);
-- Every pair of nodes that might have been the same place, with what became of it.
CREATE TABLE candidates (
  candidate INTEGER PRIMARY KEY, from_node INTEGER NOT NULL REFERENCES nodes, to_node INTEGER NOT NULL REFERENCES nodes,
  predicted_x_m REAL, predicted_y_m REAL, predicted_heading_rad REAL, found_x_m REAL, found_y_m REAL,
  found_heading_rad REAL, overlap REAL, contradiction REAL, chi_squared REAL,
  verdict TEXT NOT NULL, reason TEXT NOT NULL);
-- Constants of robot.yaml that were variables; observed: the drive halved the uncertainty at least.
CREATE TABLE constants (
  name TEXT PRIMARY KEY, unit TEXT NOT NULL, stated REAL, stated_sd REAL, found REAL, found_sd REAL,
  observed INTEGER NOT NULL);
-- Short straight faces; the normal points to the side that was seen, sd_m is along it.
CREATE TABLE wall_pieces (
  piece INTEGER PRIMARY KEY, x_m REAL NOT NULL, y_m REAL NOT NULL, normal_rad REAL NOT NULL, half_length_m REAL NOT NULL,
  sd_m REAL, returns INTEGER NOT NULL, nodes INTEGER NOT NULL);
)";

// Only in the databases of drives with markers. One row a marker: place in the map frame; heading and
// survey_difference_m are NULL where they are not known.
constexpr const char* markers_schema = R"(
CREATE TABLE markers (
  name TEXT PRIMARY KEY, x_m REAL NOT NULL, y_m REAL NOT NULL, heading_rad REAL, sd_m REAL NOT NULL,
  sightings INTEGER NOT NULL, residual_rms_m REAL NOT NULL, survey_difference_m REAL);
)";

// Only in the databases of drives that followed lines: followed_stretches and measured_lines are the drives'
// followed.csv and line_map.csv, lines has one row a line: its followed part in the map frame; survey_difference_m is
// NULL where the line was not measured.
constexpr const char* lines_schema = R"(
CREATE TABLE followed_stretches (
  drive INTEGER NOT NULL REFERENCES drives, from_s REAL NOT NULL, to_s REAL NOT NULL, line TEXT NOT NULL,
  sd_m REAL NOT NULL);
CREATE TABLE measured_lines (
  drive INTEGER NOT NULL REFERENCES drives, line TEXT NOT NULL, x1_m REAL NOT NULL, y1_m REAL NOT NULL,
  x2_m REAL NOT NULL, y2_m REAL NOT NULL);
CREATE TABLE lines (
  name TEXT PRIMARY KEY, from_x_m REAL NOT NULL, from_y_m REAL NOT NULL, to_x_m REAL NOT NULL, to_y_m REAL NOT NULL,
  sd_m REAL NOT NULL, stretches INTEGER NOT NULL, residual_rms_m REAL NOT NULL, survey_difference_m REAL);
)";

// Only in the databases of maps whose scale was measured with tapes. One row a row of tapes.csv with a tape_m: its
// points in the map frame; used: 1 where it holds the scale.
constexpr const char* tapes_schema = R"(
CREATE TABLE tapes (
  name TEXT PRIMARY KEY, x1_m REAL NOT NULL, y1_m REAL NOT NULL, x2_m REAL NOT NULL, y2_m REAL NOT NULL,
  tape_m REAL NOT NULL, tape_sd_m REAL NOT NULL, used INTEGER NOT NULL);
)";

/// A prepared INSERT whose values are given one row at a time, first column first.
class RowInserter {
 public:
  RowInserter(SQLite::Database& database, const std::string& table, int columns)
      : statement_(database, "INSERT INTO " + table + " VALUES (?" + repeated(",?", columns - 1) + ")") {}

  template <typename... Values>
  void insert(const Values&... values) {
    statement_.reset();
    next_ = 1;
    (bind(values), ...);
    statement_.exec();
  }

 private:
  static std::string repeated(const std::string& text, int times) {
    std::string all;
    for (int i = 0; i < times; ++i) all += text;
    return all;
  }
  void bind(const std::optional<double>& value) { value ? bind(*value) : statement_.bind(next_++); }
  void bind(double value) { statement_.bind(next_++, value); }  // SQLite stores NaN as NULL
  void bind(std::int64_t value) { statement_.bind(next_++, value); }
  void bind(std::size_t value) { bind(static_cast<std::int64_t>(value)); }
  void bind(int value) { statement_.bind(next_++, value); }
  void bind(const std::string& text) { statement_.bind(next_++, text); }
  void bind(const char* text) { statement_.bind(next_++, text); }
  void bind(const std::vector<std::uint8_t>& blob) {
    // An empty vector's data() may be null, which SQLite would store as NULL.
    const void* bytes = blob.empty() ? static_cast<const void*>("") : blob.data();
    statement_.bind(next_++, bytes, static_cast<int>(blob.size()));
  }
  void bind(const Pose2& pose) {
    bind(pose.x_m);
    bind(pose.y_m);
    bind(pose.heading_rad);
  }
  void bind(const Eigen::Matrix3d& symmetric) {
    for (const auto& [row, column] : {std::pair{0, 0}, {0, 1}, {1, 1}, {0, 2}, {1, 2}, {2, 2}}) {
      bind(symmetric(row, column));
    }
  }

  SQLite::Statement statement_;
  int next_ = 1;
};

std::vector<std::uint8_t> points_blob(const Scan& scan) {
  std::vector<std::uint8_t> blob;
  blob.reserve(12 * scan.returns.size());
  const auto append = [&blob](float value) {
    const auto bits = std::bit_cast<std::uint32_t>(value);
    for (int shift = 0; shift < 32; shift += 8) blob.push_back(static_cast<std::uint8_t>(bits >> shift));
  };
  for (const Return& laser_return : scan.returns) {
    append(laser_return.angle_rad);
    append(laser_return.range_m);
    append(laser_return.time_offset_s);
  }
  return blob;
}

void insert_meta(SQLite::Database& database, const Map& map, const MapOrigin& origin) {
  RowInserter meta(database, "meta", 2);
  meta.insert("schema_version", std::to_string(graph_database_schema));
  meta.insert("program_version", origin.program_version);
  meta.insert("loops_closed", origin.loops_closed ? "yes" : "no");
  meta.insert("simulated", origin.simulated ? "yes" : "no");
  if (origin.frame != FrameSetBy::first_scan) meta.insert("frame_set_by", frame_text(origin.frame));
  meta.insert("cell_size_m", short_text(map.grid.frame.cell_size_m, 9));
}

void insert_recording(SQLite::Database& database, int number, const Drive& drive) {
  RowInserter(database, "drives", 4).insert(number, drive.name, drive.checksum, robot_yaml_text(drive.robot));
  const auto follows_break = [&drive](std::size_t row) {
    return std::binary_search(drive.breaks.begin(), drive.breaks.end(), row) ? 1 : 0;
  };
  RowInserter wheels(database, "wheels", 5);
  for (std::size_t i = 0; i < drive.wheels.size(); ++i) {
    const WheelCounts& counts = drive.wheels[i];
    wheels.insert(number, counts.time_s, counts.left_ticks, counts.right_ticks, follows_break(i));
  }
  RowInserter odometry(database, "odometry", 6);
  for (std::size_t i = 0; i < drive.odometry.size(); ++i) {
    odometry.insert(number, drive.odometry[i].time_s, drive.odometry[i].pose, follows_break(i));
  }
  RowInserter gyro(database, "gyro", 3);
  for (const YawRate& sample : drive.gyro) gyro.insert(number, sample.time_s, sample.yaw_rate_rad_s);
  RowInserter sightings(database, "marker_sightings", 6);
  for (const MarkerSighting& seen : drive.markers) {
    sightings.insert(number, seen.time_s, seen.marker, seen.x_m, seen.y_m, seen.heading_rad);
  }
  RowInserter surveyed(database, "surveyed_markers", 5);
  for (const SurveyedMarker& marker : drive.marker_map) {
    surveyed.insert(number, marker.marker, marker.x_m, marker.y_m, marker.heading_rad);
  }
  RowInserter hints(database, "hints", 4);
  for (const Hint& hint : drive.hints) hints.insert(number, hint.time_1_s, hint.time_2_s, hint.same_place ? 1 : 0);
}

void insert_graph(SQLite::Database& database, const Map& map, std::span<const Drive> drives) {
  RowInserter nodes(database, "nodes", 13);
  RowInserter scans(database, "scans", 4);
  for (std::size_t i = 0; i < map.graph.nodes.size(); ++i) {
    const Node& node = map.graph.nodes[i];
    nodes.insert(i, node.drive, node.scan, node.time_s, node.pose, node.covariance);
    const Scan& scan = drives[static_cast<std::size_t>(node.drive) - 1].scans.at(node.scan);
    scans.insert(i, scan.time_s, scan.returns.size(), points_blob(scan));
  }
  RowInserter edges(database, "edges", 13);
  for (std::size_t i = 0; i < map.graph.edges.size(); ++i) {
    const Edge& edge = map.graph.edges[i];
    edges.insert(i, edge_kind_text(edge.kind), edge.from, edge.to, edge.relative, edge.information);
  }
  RowInserter candidates(database, "candidates", 14);
  for (std::size_t i = 0; i < map.candidates.size(); ++i) {
    const LoopCandidate& candidate = map.candidates[i];
    candidates.insert(i, candidate.from, candidate.to, candidate.predicted, candidate.found, candidate.overlap,
                      candidate.contradiction, candidate.chi_squared,
                      candidate.verdict == Verdict::accepted ? "accepted" : "rejected", candidate.reason);
  }
}

void insert_adjustment(SQLite::Database& database, const Map& map) {
  RowInserter constants(database, "constants", 7);
  for (const RefinedConstant& constant : map.constants) {
    constants.insert(constant.name, constant.unit, constant.stated, constant.stated_sd, constant.found,
                     constant.found_sd, constant.observed ? 1 : 0);
  }
  RowInserter pieces(database, "wall_pieces", 8);
  for (std::size_t i = 0; i < map.wall_pieces.size(); ++i) {
    const WallPiece& piece = map.wall_pieces[i];
    pieces.insert(i, piece.middle_m.x(), piece.middle_m.y(), piece.normal_rad, piece.half_length_m, piece.sd_m,
                  piece.returns, piece.nodes);
  }
}

void insert_markers(SQLite::Database& database, const MapMarkers& markers) {
  constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
  if (markers.markers.empty()) return;
  database.exec(markers_schema);
  RowInserter rows(database, "markers", 8);
  for (const MappedMarker& m : markers.markers) {
    rows.insert(m.name, m.place.x_m, m.place.y_m, m.has_heading ? m.place.heading_rad : kUnknown, m.sd_m, m.sightings,
                m.residual_rms_m, m.surveyed ? m.survey_difference_m : kUnknown);
  }
}

void insert_lines(SQLite::Database& database, const MapLines& lines, std::span<const Drive> drives) {
  constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
  if (std::none_of(drives.begin(), drives.end(), [](const Drive& drive) { return !drive.followed.empty(); })) return;
  database.exec(lines_schema);
  RowInserter stretches(database, "followed_stretches", 5);
  RowInserter measured(database, "measured_lines", 6);
  for (std::size_t i = 0; i < drives.size(); ++i) {
    const int number = static_cast<int>(i) + 1;
    for (const FollowedStretch& s : drives[i].followed) stretches.insert(number, s.from_s, s.to_s, s.line, s.sd_m);
    for (const MeasuredLine& m : drives[i].line_map) measured.insert(number, m.line, m.x1_m, m.y1_m, m.x2_m, m.y2_m);
  }
  RowInserter rows(database, "lines", 9);
  for (const MappedLine& line : lines.lines) {
    rows.insert(line.name, line.from_m.x(), line.from_m.y(), line.to_m.x(), line.to_m.y(), line.sd_m, line.stretches,
                line.residual_rms_m, line.measured ? line.survey_difference_m : kUnknown);
  }
}

void insert_tapes(SQLite::Database& database, const std::vector<MappedTape>& tapes) {
  if (tapes.empty()) return;
  database.exec(tapes_schema);
  RowInserter rows(database, "tapes", 8);
  for (const MappedTape& tape : tapes) {
    rows.insert(tape.name, tape.from_m.x(), tape.from_m.y(), tape.to_m.x(), tape.to_m.y(), tape.tape_m, tape.tape_sd_m,
                tape.left_out.empty() ? 1 : 0);
  }
}

}  // namespace

const char* edge_kind_text(EdgeKind kind) {
  switch (kind) {
    case EdgeKind::odometry:
      return "odometry";
    case EdgeKind::match:
      return "match";
    case EdgeKind::closure:
      return "closure";
  }
  return "";
}

void write_graph_database(const Map& map, std::span<const Drive> drives, const MapOrigin& origin,
                          const std::filesystem::path& file) {
  SQLite::Database database(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
  database.exec(kSchema);
  insert_meta(database, map, origin);
  for (std::size_t i = 0; i < drives.size(); ++i) insert_recording(database, static_cast<int>(i) + 1, drives[i]);
  insert_graph(database, map, drives);
  insert_adjustment(database, map);
  insert_markers(database, map.markers);
  insert_lines(database, map.lines, drives);
  insert_tapes(database, map.tapes);
  database.exec("COMMIT");
}

}  // namespace wainscot
