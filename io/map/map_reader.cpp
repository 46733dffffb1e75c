#include "io/map/map_reader.hpp"

#include <bit>
#include <cmath>
#include <cstdint>
#include <optional>
#include <span>
#include <stdexcept>
#include <string>
#include <utility>

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/pose_table.hpp"
#include "io/grid/grid_reader.hpp"
#include "io/map/graph_database.hpp"
#include "io/map/recording_reader.hpp"
#include "io/map/row_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr double kLargestConstant = 1e9;

void read_meta(const SQLite::Database& database, MapOrigin& origin) {
  const auto find = [&database](const char* key) {
    SQLite::Statement query(database, "SELECT value FROM meta WHERE key = ?");
    query.bind(1, key);
    return query.executeStep() ? std::optional(query.getColumn(0).getString()) : std::nullopt;
  };
  const auto value = [&find](const char* key) {
    const std::optional<std::string> found = find(key);
    if (!found) throw std::out_of_range(fmt::format("the table meta has no {}", key));
    return *found;
  };
  origin.program_version = value("program_version");
  origin.loops_closed = value("loops_closed") == "yes";
  origin.simulated = value("simulated") == "yes";
  const std::string frame = find("frame_set_by").value_or("first scan");
  for (const FrameSetBy known : {FrameSetBy::survey, FrameSetBy::walls, FrameSetBy::user}) {
    if (frame == frame_text(known)) origin.frame = known;
  }
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
    map.constants.push_back(std::move(constant));
  }
  RowReader row(database,
                "SELECT x_m, y_m, normal_rad, half_length_m, sd_m, returns, nodes FROM wall_pieces ORDER BY piece");
  while (row.next()) {
    constexpr double kLongestM = 1e4;
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

void require_known_schema(const SQLite::Database& database, const std::string& shown) {
  SQLite::Statement query(database, "PRAGMA user_version");
  const int schema = query.executeStep() ? query.getColumn(0).getInt() : 0;
  if (schema > graph_database_schema) {
    throw InputError(fmt::format("{}: is of a newer form ({}) than this program reads ({}); update the program", shown,
                                 schema, graph_database_schema));
  }
  if (schema == 0) throw InputError(shown + ": is empty; build the map again");
  if (schema < graph_database_schema) {
    throw InputError(
        fmt::format("{}: is of an older form ({}) without the recordings; build the map again", shown, schema));
  }
}

}  // namespace

SavedMap read_graph(const std::filesystem::path& folder) {
  const std::filesystem::path file = folder / "graph.sqlite";
  const std::string shown = printable(file.string(), 300);
  require_map_folder(folder);
  std::error_code error;
  if (!std::filesystem::exists(file, error)) {
    throw InputError(shown + ": is missing from the map; build the map again");
  }
  const auto damaged = [&shown](const std::exception& fault) {
    return InputError(fmt::format("{}: is damaged ({}); build the map again", shown, printable(fault.what(), 120)));
  };
  try {
    const SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
    require_known_schema(database, shown);
    SavedMap saved;
    read_meta(database, saved.origin);
    saved.drives = read_recordings(database);
    read_nodes(database, saved);
    read_edges(database, saved.map);
    read_candidates(database, saved.map);
    read_adjustment(database, saved.map);
    return saved;
  } catch (const SQLite::Exception& fault) {
    throw damaged(fault);
  } catch (const std::out_of_range& fault) {
    throw damaged(fault);
  }
}

std::vector<TrajectoryRow> read_paths(const std::filesystem::path& folder) {
  require_map_folder(folder);
  const std::vector<DrivePose> found = read_drive_poses(folder / "trajectory.csv");
  const std::vector<DrivePose> odometry = read_drive_poses(folder / "odometry.csv");
  if (found.size() != odometry.size()) {
    throw InputError(fmt::format("{}: trajectory.csv has {} rows and odometry.csv {}; build the map again",
                                 printable(folder.string(), 300), found.size(), odometry.size()));
  }
  std::vector<TrajectoryRow> rows;
  for (std::size_t i = 0; i < found.size(); ++i) {
    rows.push_back({found[i].time_s, found[i].pose, odometry[i].pose, found[i].drive});
  }
  return rows;
}

SavedMap read_map(const std::filesystem::path& folder) {
  SavedMap saved = read_graph(folder);
  saved.map.grid = read_grid(folder);
  saved.map.trajectory = read_paths(folder);
  return saved;
}

}  // namespace wainscot
