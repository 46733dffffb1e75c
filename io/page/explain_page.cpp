#include "io/page/explain_page.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

#include "graph/close/revisits.hpp"
#include "graph/close/verification.hpp"
#include "graph/optimiser.hpp"
#include "graph/track/keyframes.hpp"
#include "io/markup.hpp"
#include "io/number_text.hpp"
#include "io/packed_numbers.hpp"
#include "io/page/adjustment_section.hpp"
#include "io/page/files.hpp"
#include "io/page/filled_form.hpp"
#include "io/page/page_frame.hpp"
#include "scanmatch/match_numbers.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

Json numbers_of_pose(const Pose2& pose) {
  return {rounded(pose.x_m, 4), rounded(pose.y_m, 4), rounded(pose.heading_rad, 6)};
}

void append(std::vector<float>& numbers, const std::vector<Pose2>& poses) {
  for (const Pose2& pose : poses) {
    for (const double value : {pose.x_m, pose.y_m, pose.heading_rad}) numbers.push_back(static_cast<float>(value));
  }
}

std::string packed_poses(const std::vector<Pose2>& poses) {
  std::vector<float> numbers;
  append(numbers, poses);
  return packed(numbers);
}

Json match_json(const MatchExplanation& match) {
  Json json;
  json["time_s"] = rounded(match.time_s, 3);
  json["layout"] = {{"problem", kProblemHeader}, {"point", kPointNumbers},        {"line", kLineNumbers},
                    {"trace", kTraceHeader},     {"iteration", kIterationHeader}, {"pair", kPairNumbers}};
  json["problem"] = packed(numbers_of(match.problem));
  std::vector<float> before;
  for (const ScanPoint& p : match.before) before.insert(before.end(), {p.x_m, p.y_m});
  json["before"] = packed(before);
  json["before_pose"] = numbers_of_pose(match.before_pose);
  json["kept"] = numbers_of_pose(match.kept);
  json["matches"] = Json::array();
  for (const ShiftedMatch& m : match.matches) {
    json["matches"].push_back(
        {{"shift", {m.shift.x(), m.shift.y(), m.shift.z()}}, {"trace", packed(numbers_of(m.traced))}});
  }
  return json;
}

const char* name_of(EdgeKind kind) {
  switch (kind) {
    case EdgeKind::odometry:
      return "odometry";
    case EdgeKind::match:
      return "match";
    case EdgeKind::closure:
      break;
  }
  return "closure";
}

Json candidate_json(const LoopCandidate& candidate) {
  return {{"from", candidate.from},
          {"to", candidate.to},
          {"predicted", numbers_of_pose(candidate.predicted)},
          {"found", numbers_of_pose(candidate.found)},
          {"overlap", rounded(candidate.overlap, 4)},
          {"contradiction", rounded(candidate.contradiction, 4)},
          {"chi_squared", std::isfinite(candidate.chi_squared) ? Json(rounded(candidate.chi_squared, 3)) : Json()},
          {"accepted", candidate.verdict == Verdict::accepted},
          {"reason", candidate.reason}};
}

/// What was seen from each node, thinned, in units that 16 bits hold up to 65 m.
void add_scans(const std::vector<std::vector<ScanPoint>>& scans, Json& json) {
  constexpr double kUnitM = 0.002;
  const std::size_t most_of_a_scan = std::clamp<std::size_t>(100'000 / std::max<std::size_t>(1, scans.size()), 60, 120);
  std::vector<std::int16_t> points;
  std::vector<std::size_t> counts;
  const auto in_units = [](float value_m) {
    constexpr double kMost = std::numeric_limits<std::int16_t>::max();
    return static_cast<std::int16_t>(std::clamp(std::round(static_cast<double>(value_m) / kUnitM), -kMost, kMost));
  };
  for (const std::vector<ScanPoint>& scan : scans) {
    const std::size_t before = points.size();
    const std::size_t every = 1 + scan.size() / most_of_a_scan;
    for (std::size_t i = 0; i < scan.size(); i += every) {
      points.push_back(in_units(scan[i].x_m));
      points.push_back(in_units(scan[i].y_m));
    }
    counts.push_back((points.size() - before) / 2);
  }
  json["point_unit_m"] = kUnitM;
  json["counts"] = counts;
  json["points"] = packed(points);
}

/// Which iterations of a replay come with their poses: all of a short one; of a long one of many nodes, the first ones,
/// which move most, and the last.
std::vector<std::size_t> shown_iterations(std::size_t iterations, std::size_t nodes) {
  constexpr std::size_t kMostPoses = 30'000;
  const std::size_t most = std::max<std::size_t>(6, kMostPoses / std::max<std::size_t>(1, nodes));
  std::vector<std::size_t> shown;
  for (std::size_t i = 0; i < iterations; ++i) {
    if (i + 1 < most || i + 1 == iterations) shown.push_back(i);
  }
  return shown;
}

Json replay_json(const Replay& replay) {
  const std::size_t nodes = replay.poses_by_iteration.empty() ? 0 : replay.poses_by_iteration.front().size();
  const std::vector<std::size_t> shown = shown_iterations(replay.poses_by_iteration.size(), nodes);
  std::vector<float> poses;
  for (const std::size_t i : shown) append(poses, replay.poses_by_iteration[i]);
  std::vector<double> cost;
  for (const double c : replay.cost_by_iteration) cost.push_back(rounded(c, 6));
  return {{"from_odometry", replay.from_odometry},
          {"true_closures", replay.true_closures},
          {"false_closure", replay.false_closure},
          {"robust", replay.robust},
          {"cost", cost},
          {"shown", shown},
          {"poses", packed(poses)}};
}

Json graph_json(const GraphExplanation& graph) {
  Json json;
  json["times"] = graph.times_s;
  json["odometry"] = packed_poses(graph.odometry);
  json["tracked"] = packed_poses(graph.tracked);
  json["adjusted"] = packed_poses(graph.adjusted);
  add_scans(graph.scans, json);
  json["edges"] = Json::array();
  for (const Edge& edge : graph.edges) json["edges"].push_back({name_of(edge.kind), edge.from, edge.to});
  json["candidates"] = Json::array();
  for (const LoopCandidate& candidate : graph.candidates) json["candidates"].push_back(candidate_json(candidate));
  const VerificationOptions limits;
  json["limits"] = {{"overlap", limits.min_overlap},
                    {"contradiction", limits.max_contradiction},
                    {"chi_squared", limits.max_chi_squared}};
  if (graph.false_closure) {
    const LoopCandidate& tested = graph.false_closure->tested;
    json["false_closure"] = {{"from", graph.false_closure->edge.from},
                             {"to", graph.false_closure->edge.to},
                             {"distance_m", rounded(graph.false_closure->distance_m, 3)},
                             {"accepted", tested.verdict == Verdict::accepted},
                             {"reason", tested.reason}};
  }
  json["replays"] = Json::array();
  for (const Replay& replay : graph.replays) json["replays"].push_back(replay_json(replay));
  return json;
}

/// [time_s, visit, hit, hits of the visit, crossings of it, log-odds], and of some the beam: [from x, y, to x, y, hit].
Json event_json(const ExplainedEvent& explained) {
  const CellEvent& event = explained.event;
  Json json = {rounded(explained.time_s, 2), event.visit, event.hit ? 1 : 0, event.visit_hits, event.visit_crossings,
               rounded(event.log_odds, 4)};
  if (explained.beam) {
    const RasterBeam& beam = *explained.beam;
    const auto metres = [](float value) { return rounded(static_cast<double>(value), 3); };
    json.push_back({metres(beam.origin_x_m), metres(beam.origin_y_m), metres(beam.end_x_m), metres(beam.end_y_m),
                    beam.hit ? 1 : 0});
  }
  return json;
}

Json cells_json(const std::vector<CellExplanation>& cells) {
  Json json = Json::array();
  for (const CellExplanation& cell : cells) {
    Json events = Json::array();
    for (const ExplainedEvent& event : cell.events) events.push_back(event_json(event));
    // Hundredths; -1: never seen.
    std::vector<int> around;
    for (const float p : cell.around)
      around.push_back(std::isfinite(p) ? static_cast<int>(std::lround(100.0F * p)) : -1);
    json.push_back({{"what", cell.what},
                    {"middle", {rounded(cell.middle_m.x(), 4), rounded(cell.middle_m.y(), 4)}},
                    {"probability", std::isfinite(cell.probability) ? Json(rounded(cell.probability, 4)) : Json(0.5)},
                    {"around", around},
                    {"events", std::move(events)}});
  }
  return json;
}

/// The figures in the page's words, from the options that the stages really have.
std::vector<std::pair<std::string_view, std::string>> option_words(const RasteriserOptions& voting) {
  const TrackingOptions tracking;
  const IcpOptions matching;
  const RevisitOptions closing;
  const VerificationOptions verification;
  const OptimiserOptions optimiser;
  const auto number = [](double value) { return short_text(value, 2); };
  return {{"@KEYFRAME_WAY@", length_text(tracking.keyframe_way_m)},
          {"@KEYFRAME_TURN@", angle_text(tracking.keyframe_turn_rad)},
          {"@STOP@", number(1000.0 * matching.stop_m) + " mm"},
          {"@ROBUST@", length_text(matching.robust_scale_m)},
          {"@CLOSURE_DISTANCE@", length_text(closing.max_distance_m)},
          {"@OVERLAP@", percent_text(verification.min_overlap)},
          {"@CONTRADICTION@", percent_text(verification.max_contradiction)},
          {"@FAR_OVERLAP@", percent_text(verification.far_min_overlap)},
          {"@FAR_CONTRADICTION@", percent_text(verification.far_max_contradiction)},
          {"@CHI@", number(verification.max_chi_squared)},
          {"@RATIO@", number(optimiser.closure_robust_ratio)},
          {"@PRIOR@", number(voting.prior_log_odds)},
          {"@HIT@", number(voting.hit_log_odds)},
          {"@FREE@", number(voting.free_log_odds)},
          {"@VISIT_LIMIT@", number(voting.visit_limit_log_odds)},
          {"@TOTAL_LIMIT@", number(voting.total_limit_log_odds)}};
}

}  // namespace

std::string explain_page(const DriveExplanation& explanation, const std::string& drive_name, const MapOrigin& origin,
                         std::string_view matcher) {
  Json data;
  data["matcher"] = base64({matcher.begin(), matcher.end()});
  data["match"] = match_json(explanation.match);
  data["graph"] = graph_json(explanation.graph);
  data["cell_size_m"] = explanation.map.grid.frame.cell_size_m;
  data["voting"] = {{"prior", explanation.voting.prior_log_odds}, {"most", explanation.voting.total_limit_log_odds}};
  data["cells"] = cells_json(explanation.cells);
  data["walls"] = adjustment_data(explanation.walls, explanation.map.constants);
  std::vector<std::pair<std::string_view, std::string>> words = option_words(explanation.voting);
  words.emplace_back("@NAME@", html_text(drive_name));
  words.emplace_back("@MARK@", origin.simulated ? "<p><span class=\"mark\">simulated drive</span></p>" : "");
  words.emplace_back("@CONSTANTS@", told_constants(explanation.map.constants));
  words.emplace_back("@VERSION@", html_text(origin.program_version));
  return framed_page({"How the map from the drive “" + drive_name + "” came about", filled_form(explain_html(), words),
                      explain_css(), std::string(explain_js()) + std::string(explain_walls_js()),
                      data.dump(-1, ' ', true, Json::error_handler_t::replace), !matcher.empty()});
}

std::string explain_page(const DriveExplanation& explanation, const std::string& drive_name, const MapOrigin& origin) {
  return explain_page(explanation, drive_name, origin, matcher_wasm());
}

}  // namespace wainscot
