#include "io/map/map_reader.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/pose_table.hpp"
#include "io/files/shown.hpp"
#include "io/grid/grid_reader.hpp"
#include "io/map/database_file.hpp"
#include "io/map/graph_database.hpp"
#include "io/map/map_agreement.hpp"
#include "io/map/recording_reader.hpp"
#include "io/map/row_reader.hpp"
#include "io/number_reader.hpp"
#include "io/robot/robot_yaml.hpp"

namespace wainscot {
namespace {

const std::array<std::string, 14> tables = {
    "meta",  "drives", "wheels", "odometry", "gyro",       "marker_sightings", "surveyed_markers",
    "hints", "nodes",  "scans",  "edges",    "candidates", "constants",        "wall_pieces"};

constexpr double kLargestConstant = 1e9;
constexpr double kFarthestReturnM = 1000.0;  // the largest max_range_m that robot.yaml may state

std::optional<std::string> find_in_meta(const SQLite::Database& database, const char* key) {
  SQLite::Statement query(database, "SELECT value FROM meta WHERE key = ?");
  query.bind(1, key);
  return query.executeStep() ? std::optional(query.getColumn(0).getString()) : std::nullopt;
}

std::string read_in_meta(const SQLite::Database& database, const char* key) {
  const std::optional<std::string> found = find_in_meta(database, key);
  if (!found) throw std::out_of_range(fmt::format("the table meta has no {}", key));
  return *found;
}

void read_meta(const SQLite::Database& database, MapOrigin& origin) {
  origin.program_version = read_in_meta(database, "program_version");
  origin.loops_closed = read_in_meta(database, "loops_closed") == "yes";
  origin.simulated = read_in_meta(database, "simulated") == "yes";
  const std::string frame = find_in_meta(database, "frame_set_by").value_or("first scan");
  for (const FrameSetBy known : {FrameSetBy::survey, FrameSetBy::walls, FrameSetBy::user}) {
    if (frame == frame_text(known)) origin.frame = known;
  }
}

double read_cell_size_m(const SQLite::Database& database) {
  double cell_size_m = 0.0;
  if (read_number(read_in_meta(database, "cell_size_m"), cell_size_m) == NumberFault::none) return cell_size_m;
  throw std::out_of_range("cell_size_m in the table meta is no number");
}

std::vector<Return> returns_of(std::span<const std::uint8_t> blob) {
  constexpr std::size_t kBytes = 12;
  if (blob.size() % kBytes != 0) throw std::out_of_range("a scan's points end within a return");
  const auto number = [&blob](std::size_t at) {
    std::uint32_t bits = 0;
    for (std::size_t i = 0; i < 4; ++i) bits |= static_cast<std::uint32_t>(blob[at + i]) << (8 * i);
    return std::bit_cast<float>(bits);
  };
  std::vector<Return> returns;
  returns.reserve(blob.size() / kBytes);
  for (std::size_t at = 0; at < blob.size(); at += kBytes) {
    returns.push_back({number(at), number(at + 4), number(at + 8)});
    const Return& last = returns.back();
    if (!std::isfinite(last.angle_rad) || !std::isfinite(last.range_m) || !std::isfinite(last.time_offset_s)) {
      throw std::out_of_range("a scan's points hold something that is no number");
    }
    // As the readers of drives give them: what the robot's motion is taken off by counts on the order of firing.
    const float before_s = returns.size() > 1 ? returns[returns.size() - 2].time_offset_s : 0.0F;
    if (!(last.range_m > 0.0F) || std::abs(last.angle_rad) > static_cast<float>(std::numbers::pi) ||
        last.time_offset_s < before_s) {
      throw std::out_of_range(fmt::format("return {} of a scan is one that no lidar gives", returns.size()));
    }
  }
  return returns;
}

void read_nodes(const SQLite::Database& database, SavedMap& saved) {
  RowReader row(database,
                "SELECT drive, time_s, x_m, y_m, heading_rad, covariance_xx_m2, covariance_xy_m2, covariance_yy_m2, "
                "covariance_xh_m_rad, covariance_yh_m_rad, covariance_hh_rad2, recorded_s, points "
                "FROM nodes JOIN scans USING (node) ORDER BY node");
  while (row.next()) {
    Node node;
    Drive& drive = saved.drives.at(row.drive(saved.drives.size()));
    node.drive = static_cast<int>(&drive - saved.drives.data()) + 1;
    node.scan = drive.scans.size();
    node.time_s = row.time_s();
    node.pose = row.pose();
    node.covariance = row.symmetric();
    const double recorded_s = row.time_s();
    drive.scans.push_back({recorded_s, returns_of(row.blob())});
    saved.map.graph.nodes.push_back(node);
  }
}

EdgeKind kind_of(const std::string& text) {
  for (const EdgeKind kind : {EdgeKind::odometry, EdgeKind::match, EdgeKind::closure}) {
    if (text == edge_kind_text(kind)) return kind;
  }
  throw std::out_of_range("the kind of an edge is " + printable(text, 30));
}

void read_edges(const SQLite::Database& database, Map& map) {
  const std::size_t nodes = map.graph.nodes.size();
  RowReader row(database,
                "SELECT kind, from_node, to_node, x_m, y_m, heading_rad, information_xx_per_m2, information_xy_per_m2, "
                "information_yy_per_m2, information_xh_per_m_rad, information_yh_per_m_rad, information_hh_per_rad2 "
                "FROM edges ORDER BY edge");
  while (row.next()) {
    Edge edge;
    edge.kind = kind_of(row.text());
    edge.from = row.index(nodes);
    edge.to = row.index(nodes);
    edge.relative = row.pose();
    edge.information = row.symmetric();
    map.graph.edges.push_back(edge);
  }
}

void read_candidates(const SQLite::Database& database, Map& map) {
  const std::size_t nodes = map.graph.nodes.size();
  RowReader row(database,
                "SELECT from_node, to_node, predicted_x_m, predicted_y_m, predicted_heading_rad, found_x_m, found_y_m, "
                "found_heading_rad, overlap, contradiction, chi_squared, verdict, reason FROM candidates "
                "ORDER BY candidate");
  while (row.next()) {
    LoopCandidate candidate;
    candidate.from = row.index(nodes);
    candidate.to = row.index(nodes);
    candidate.predicted = row.pose();
    candidate.found = row.pose();
    candidate.overlap = row.number();
    candidate.contradiction = row.number();
    candidate.chi_squared = row.number();
    candidate.verdict = row.text() == "accepted" ? Verdict::accepted : Verdict::rejected;
    candidate.reason = row.text();
    map.candidates.push_back(std::move(candidate));
  }
}

/// What was found has to be what robot.yaml could state. Only some have a key there: "lidar.x_m".
void require_possible(const std::vector<RefinedConstant>& constants) {
  std::string yaml = "wainscot_robot: 1\n";
  for (const std::string_view section : {"lidar", "gyro", "drive"}) {
    std::string keys;
    for (const RefinedConstant& constant : constants) {
      if (!constant.name.starts_with(fmt::format("{}.", section))) continue;
      keys += fmt::format("  {}: {}\n", constant.name.substr(section.size() + 1), constant.found);
    }
    if (!keys.empty()) yaml += fmt::format("{}:\n{}", section, keys);
  }
  try {
    parse_robot_yaml(yaml, "of its constants, as robot.yaml", WheelConstants::optional);
  } catch (const InputError& fault) {
    throw std::out_of_range(fault.what());
  }
}

/// How far off a constant may be found that robot.yaml has no key for, a share or a factor near 1, and the sweep's
/// time, which is used as a factor of the stated one.
void require_possible_share(const RefinedConstant& constant) {
  constexpr double kMost = 10.0;  // as one that was stated in another unit would be
  const bool has_key = constant.name.find('.') != std::string::npos;
  if (has_key && constant.name != "lidar.sweep_s") return;
  const bool is_factor = !has_key && constant.stated > 0.0;
  const double most = has_key ? kMost * constant.stated : kMost;
  if (std::abs(constant.found) <= most && (!is_factor || constant.found >= constant.stated / kMost)) return;
  throw std::out_of_range(
      fmt::format("{} was stated as {} and found as {}", constant.name, constant.stated, constant.found));
}

void read_adjustment(const SQLite::Database& database, Map& map) {
  RowReader constants(database,
                      "SELECT name, unit, stated, stated_sd, found, found_sd, observed FROM constants ORDER BY rowid");
  while (constants.next()) {
    RefinedConstant constant;
    constant.name = constants.text();
    constant.unit = constants.text();
    constant.stated = constants.number();
    constant.stated_sd = constants.number();
    constant.found = constants.number_within(-kLargestConstant, kLargestConstant);
    constant.found_sd = constants.number_within(0.0, kLargestConstant);
    constant.observed = constants.flag();
    require_possible_share(constant);
    map.constants.push_back(std::move(constant));
  }
  require_possible(map.constants);
  RowReader row(database,
                "SELECT x_m, y_m, normal_rad, half_length_m, sd_m, returns, nodes FROM wall_pieces ORDER BY piece");
  while (row.next()) {
    constexpr double kLongestM =
        3.0;  // each way; twice what a line is gathered over (`LineMap`: 1.5 m from its anchor)
    constexpr double kFarthestPieceM = 7e3;  // x and y each: a house that begins as far away as one may, and its size
    WallPiece piece;
    piece.middle_m.x() = row.number_within(-kFarthestPieceM, kFarthestPieceM);
    piece.middle_m.y() = row.number_within(-kFarthestPieceM, kFarthestPieceM);
    piece.normal_rad = row.heading_rad();
    piece.half_length_m = row.number_within(0.0, kLongestM);
    piece.sd_m = row.number();  // not known of some
    piece.returns = static_cast<int>(row.whole());
    piece.nodes = static_cast<int>(row.whole());
    map.wall_pieces.push_back(piece);
  }
}

/// Those that hold the scale. The table is there only where the map was built with tapes.
void read_used_tapes(const SQLite::Database& database, Map& map) {
  const std::array<std::string, 1> tape_tables = {"tapes"};
  SQLite::Statement named(database, "SELECT 1 FROM sqlite_master WHERE name = 'tapes'");
  if (!named.executeStep()) return;
  require_plain_tables(database, tape_tables);
  RowReader row(database, "SELECT name, x1_m, y1_m, x2_m, y2_m, tape_m, tape_sd_m FROM tapes WHERE used = 1");
  while (row.next()) {
    MappedTape tape;
    tape.name = row.text();
    for (double* metres : {&tape.from_m.x(), &tape.from_m.y(), &tape.to_m.x(), &tape.to_m.y()}) *metres = row.metres();
    tape.tape_m = row.metres();
    tape.tape_sd_m = row.metres();
    map.tapes.push_back(std::move(tape));
  }
}

void require_known_schema(const SQLite::Database& database, const std::filesystem::path& file) {
  SQLite::Statement query(database, "PRAGMA user_version");
  const int schema = query.executeStep() ? query.getColumn(0).getInt() : 0;
  if (schema == 0) throw InputError(shown(file) + ": is empty; build the map again");
  if (schema != graph_database_schema) throw other_form(file, schema, graph_database_schema);
}

bool has_graph(const std::filesystem::path& folder) {
  std::error_code error;
  return std::filesystem::exists(std::filesystem::symlink_status(folder / database_name, error));
}

template <typename Read>
void read_database(const std::filesystem::path& folder, const Read& read) {
  try {
    const SQLite::Database database = open_database(folder);
    require_known_schema(database, folder / database_name);
    require_plain_tables(database, tables);
    read(database);
  } catch (const SQLite::Exception& fault) {
    throw database_fault(fault, folder);
  } catch (const std::out_of_range& fault) {
    throw database_fault(fault, folder);
  }
}

void require_one_cell_size(double in_sidecar_m, double in_graph_m, const std::filesystem::path& folder) {
  constexpr double kLastDecimal = 1e-9;  // of both
  if (std::abs(in_sidecar_m - in_graph_m) <= kLastDecimal) return;
  throw InputError(fmt::format("{}: grid.yaml says that a cell has {} m and graph.sqlite {} m; build the map again",
                               shown(folder), in_sidecar_m, in_graph_m));
}

}  // namespace

SavedMap read_graph(const std::filesystem::path& folder) {
  require_map_folder(folder);
  if (!has_graph(folder)) {
    throw InputError(shown(folder / database_name) + ": is missing from the map; build the map again");
  }
  SavedMap saved;
  read_database(folder, [&saved](const SQLite::Database& database) {
    read_meta(database, saved.origin);
    saved.map.grid.frame.cell_size_m = read_cell_size_m(database);
    saved.drives = read_recordings(database);
    read_nodes(database, saved);
    read_edges(database, saved.map);
    read_candidates(database, saved.map);
    read_adjustment(database, saved.map);
    read_used_tapes(database, saved.map);
  });
  return saved;
}

std::vector<TrajectoryRow> read_paths(const std::filesystem::path& folder) {
  require_map_folder(folder);
  const std::vector<DrivePose> found = read_drive_poses(folder / "trajectory.csv");
  const std::vector<DrivePose> odometry = read_drive_poses(folder / "odometry.csv");
  if (found.size() != odometry.size()) {
    throw InputError(fmt::format("{}: trajectory.csv has {} rows and odometry.csv {}; build the map again",
                                 shown(folder), found.size(), odometry.size()));
  }
  std::vector<TrajectoryRow> rows;
  for (std::size_t i = 0; i < found.size(); ++i) {
    rows.push_back({found[i].time_s, found[i].pose, odometry[i].pose, found[i].drive});
  }
  return rows;
}

OccupancyGrid read_grid_of(const std::filesystem::path& folder, const std::vector<TrajectoryRow>& paths) {
  OccupancyGrid grid = read_grid(folder);
  require_path_on_grid(grid.frame, paths, kFarthestReturnM, folder);
  if (has_graph(folder)) {
    read_database(folder, [&](const SQLite::Database& database) {
      require_one_cell_size(grid.frame.cell_size_m, read_cell_size_m(database), folder);
    });
  }
  return grid;
}

SavedMap read_map(const std::filesystem::path& folder) {
  SavedMap saved = read_graph(folder);
  Map& map = saved.map;
  const double cell_size_m = map.grid.frame.cell_size_m;
  map.grid = read_grid(folder);
  map.trajectory = read_paths(folder);
  double farthest_return_m = 0.0;
  for (const Drive& drive : saved.drives) {
    farthest_return_m = std::max(farthest_return_m, drive.robot.lidar.max_range_m);
  }
  require_one_cell_size(map.grid.frame.cell_size_m, cell_size_m, folder);
  require_path_on_grid(map.grid.frame, map.trajectory, farthest_return_m, folder);
  require_graph_on_map(map, farthest_return_m, folder);
  return saved;
}

}  // namespace wainscot
