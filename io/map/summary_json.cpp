#include "io/map/summary_json.hpp"

#include <algorithm>

#include <nlohmann/json.hpp>

#include "graph/mapping/map_verdict.hpp"
#include "io/number_text.hpp"
#include "io/results/line_account.hpp"
#include "io/results/marker_account.hpp"
#include "io/results/scale_account.hpp"
#include "io/robot/gyro_line.hpp"
#include "io/warnings.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

std::size_t count_edges(const PoseGraph& graph, EdgeKind kind) {
  return static_cast<std::size_t>(
      std::count_if(graph.edges.begin(), graph.edges.end(), [kind](const Edge& edge) { return edge.kind == kind; }));
}

Json drive_json(const Drive& drive, const Quality& quality, const MapOrigin& origin) {
  return {{"name", drive.name},
          {"checksum", drive.checksum},
          {"simulated", origin.simulated},
          {"path_length_m", rounded(quality.path_length_m, 3)},
          {"way_left_open_m", rounded(quality.way_left_open_m, 3)},
          {"duration_s", rounded(quality.duration_s, 3)},
          {"scans_used", quality.scans_used},
          {"scans_outside_odometry", quality.scans_outside_odometry},
          {"scans_without_enough_returns", quality.scans_without_enough_returns},
          {"scans_while_carried", quality.scans_while_carried}};
}

/// Each drive of several; of one alone there is nothing more to say.
Json drives_json(const Map& map, Drives drives) {
  Json list = Json::array();
  for (std::size_t i = 0; i < map.shares.size(); ++i) {
    const DriveShare& share = map.shares[i];
    list.push_back({{"name", drives[i].name},
                    {"checksum", drives[i].checksum},
                    {"path_length_m", rounded(share.path_length_m, 3)},
                    {"duration_s", rounded(share.duration_s, 3)},
                    {"scans_used", share.scans_used}});
  }
  return list;
}

Json graph_json(const Map& map) {
  const auto accepted = std::count_if(map.candidates.begin(), map.candidates.end(),
                                      [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; });
  return {{"nodes", map.graph.nodes.size()},
          {"edges", map.graph.edges.size()},
          {"odometry_edges", count_edges(map.graph, EdgeKind::odometry)},
          {"match_edges", count_edges(map.graph, EdgeKind::match)},
          {"closure_edges", count_edges(map.graph, EdgeKind::closure)},
          {"candidates", map.candidates.size()},
          {"candidates_accepted", accepted},
          {"candidates_rejected", static_cast<std::ptrdiff_t>(map.candidates.size()) - accepted},
          {"cost_before", rounded(map.quality.cost_before, 3)},
          {"cost_after", rounded(map.quality.cost_after, 3)}};
}

Json quality_json(const Quality& quality, std::size_t wall_pieces) {
  return {{"place_sd_m", rounded(quality.place_sd_m, 5)},
          {"place_sd_worst_m", rounded(quality.place_sd_worst_m, 5)},
          {"position_sd_median_m", rounded(quality.position_sd_median_m, 5)},
          {"position_sd_worst_m", rounded(quality.position_sd_worst_m, 5)},
          {"heading_sd_median_rad", rounded(quality.heading_sd_median_rad, 6)},
          {"heading_sd_worst_rad", rounded(quality.heading_sd_worst_rad, 6)},
          {"scale_sd", rounded(quality.scale_sd, 7)},
          {"scale_set_by", quality.scale_set_by},
          {"residual_rms_m", rounded(quality.residual_rms_m, 5)},
          {"matched_fraction", rounded(quality.matched_fraction, 4)},
          {"wall_pieces", wall_pieces},
          {"start_to_end_odometry_m", rounded(quality.start_to_end_odometry_m, 4)}};
}

Json constants_json(const std::vector<RefinedConstant>& constants) {
  Json list = Json::array();
  for (const RefinedConstant& constant : constants) {
    list.push_back({{"name", constant.name},
                    {"unit", constant.unit},
                    {"stated", constant.stated},
                    {"stated_sd", constant.stated_sd},
                    {"found", constant.found},
                    {"found_sd", constant.found_sd},
                    {"observed", constant.observed}});
  }
  return list;
}

Json changes_json(const std::vector<Change>& changes) {
  Json list = Json::array();
  for (const Change& change : changes) {
    list.push_back({{"what", change.door ? "door" : "thing"},
                    {"from_x_m", rounded(change.from_m.x(), 3)},
                    {"from_y_m", rounded(change.from_m.y(), 3)},
                    {"to_x_m", rounded(change.to_m.x(), 3)},
                    {"to_y_m", rounded(change.to_m.y(), 3)}});
    if (change.since_drive == 0) {
      list.back()["visits_there"] = change.visits_there;
      list.back()["visits_gone"] = change.visits_gone;
    } else {
      list.back()["since_drive"] = change.since_drive;
      list.back()["now"] = change.appeared ? "there" : "gone";
    }
  }
  return list;
}

Json grid_json(const GridFrame& frame) {
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  return {{"cell_size_m", frame.cell_size_m},
          {"columns", frame.columns},
          {"rows", frame.rows},
          {"lower_left_x_m", rounded(corner.x(), 9)},
          {"lower_left_y_m", rounded(corner.y(), 9)}};
}

}  // namespace

std::string summary_json(const Map& map, Drives drives, const MapOrigin& origin) {
  const MapVerdict verdict = map_verdict(map, drives);
  Json summary = {{"wainscot_summary", 1},
                  {"program_version", origin.program_version},
                  {"verdict", grade_name(verdict.grade)},
                  {"verdict_reason", verdict.reason},
                  {"verdict_next", verdict.next},
                  {"loops_closed", origin.loops_closed},
                  {"drive", drive_json(drives.front(), map.quality, origin)},
                  {"drives", drives_json(map, drives)},
                  {"graph", graph_json(map)},
                  {"quality", quality_json(map.quality, map.wall_pieces.size())},
                  {"scale_remedies", remedies_json(map.scale_remedies)},
                  {"constants", constants_json(map.constants)},
                  {"changes", changes_json(map.changes)},
                  {"grid", grid_json(map.grid.frame)},
                  {"warnings", all_warnings(drives, map)},
                  {"caution", map_caution}};
  const bool has_markers =
      std::any_of(drives.begin(), drives.end(), [](const Drive& drive) { return !drive.markers.empty(); });
  if (has_markers) summary["markers"] = markers_json(map.markers);
  const bool has_lines =
      std::any_of(drives.begin(), drives.end(), [](const Drive& drive) { return !drive.followed.empty(); });
  if (has_lines) summary["lines"] = lines_json(map.lines);
  if (!map.tapes.empty()) summary["tapes"] = tapes_json(map.tapes);
  if (const std::string line = gyro_line(map, drives.front().robot); !line.empty()) {
    summary["gyro_for_robot_yaml"] = line;
  }
  // A folder's name may be any bytes: what is not UTF-8 becomes U+FFFD rather than an error.
  return summary.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace wainscot
