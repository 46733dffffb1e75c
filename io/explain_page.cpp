#include "io/explain_page.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <limits>
#include <span>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "graph/verification.hpp"
#include "io/checksum.hpp"
#include "io/number_text.hpp"
#include "io/page/files.hpp"
#include "io/report_page.hpp"
#include "scanmatch/match_numbers.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

/// RFC 4648, section 4.
std::string base64_of(std::string_view bytes) {
  constexpr const char* alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t given = std::min<std::size_t>(3, bytes.size() - i);
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      group = group << 8U | (k < given ? static_cast<std::uint32_t>(static_cast<unsigned char>(bytes[i + k])) : 0U);
    }
    for (std::size_t k = 0; k < 4; ++k) text.push_back(k <= given ? alphabet[group >> (18 - 6 * k) & 63U] : '=');
  }
  return text;
}

/// Numbers as the page's typed arrays read them: little-endian, as on every machine that this is built for.
template <typename Number>
std::string packed(const std::vector<Number>& numbers) {
  return base64_of({reinterpret_cast<const char*>(numbers.data()), numbers.size() * sizeof(Number)});
}

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
  constexpr std::size_t kMostOfAScan = 120;
  std::vector<std::int16_t> points;
  std::vector<std::size_t> counts;
  const auto in_units = [](float value_m) {
    constexpr double kMost = std::numeric_limits<std::int16_t>::max();
    return static_cast<std::int16_t>(std::clamp(std::round(static_cast<double>(value_m) / kUnitM), -kMost, kMost));
  };
  for (const std::vector<ScanPoint>& scan : scans) {
    const std::size_t before = points.size();
    const std::size_t every = 1 + scan.size() / kMostOfAScan;
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

Json replay_json(const Replay& replay) {
  std::vector<float> poses;
  for (const std::vector<Pose2>& row : replay.poses_by_iteration) append(poses, row);
  std::vector<double> cost;
  for (const double c : replay.cost_by_iteration) cost.push_back(rounded(c, 6));
  return {{"from_odometry", replay.from_odometry},
          {"false_closure", replay.false_closure},
          {"robust", replay.robust},
          {"cost", cost},
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

Json event_json(const ExplainedEvent& explained) {
  const CellEvent& event = explained.event;
  Json json = {{"time_s", rounded(explained.time_s, 2)},
               {"visit", event.visit},
               {"hit", event.hit},
               {"visit_hits", event.visit_hits},
               {"visit_crossings", event.visit_crossings},
               {"log_odds", rounded(event.log_odds, 4)}};
  if (explained.beam) {
    const RasterBeam& beam = *explained.beam;
    const auto metres = [](float value) { return rounded(static_cast<double>(value), 3); };
    json["beam"] = {metres(beam.origin_x_m), metres(beam.origin_y_m), metres(beam.end_x_m), metres(beam.end_y_m),
                    beam.hit ? 1 : 0};
  }
  return json;
}

Json cells_json(const std::vector<CellExplanation>& cells) {
  Json json = Json::array();
  for (const CellExplanation& cell : cells) {
    Json events = Json::array();
    for (const ExplainedEvent& event : cell.events) events.push_back(event_json(event));
    json.push_back({{"what", cell.what},
                    {"middle", {rounded(cell.middle_m.x(), 4), rounded(cell.middle_m.y(), 4)}},
                    {"probability", std::isfinite(cell.probability) ? Json(rounded(cell.probability, 4)) : Json(0.5)},
                    {"events", std::move(events)}});
  }
  return json;
}

/// JSON that cannot end the element that it stands in, whatever names it holds.
std::string script_safe(const Json& json) {
  std::string text;
  for (const char c : json.dump(-1, ' ', false, Json::error_handler_t::replace)) {
    if (c == '<') {
      text += "\\u003c";
    } else {
      text.push_back(c);
    }
  }
  return text;
}

/// The source of a Content-Security-Policy that allows one text (W3C, Content Security Policy Level 3, section 2.3.1).
std::string hash_source(std::string_view text) {
  const std::string hex = sha256(text);
  std::string bytes;
  for (std::size_t i = 0; i < hex.size(); i += 2) {
    bytes.push_back(static_cast<char>(std::stoi(hex.substr(i, 2), nullptr, 16)));
  }
  return "'sha256-" + base64_of(bytes) + "'";
}

/// Puts values for the words between @ signs, in one pass: a value with an @ is not read again.
std::string filled(std::string_view form, const std::vector<std::pair<std::string_view, std::string>>& values) {
  std::string text;
  std::size_t at = 0;
  while (at < form.size()) {
    const auto value = std::find_if(values.begin(), values.end(),
                                    [&](const auto& v) { return form.substr(at, v.first.size()) == v.first; });
    if (form[at] == '@' && value != values.end()) {
      text += value->second;
      at += value->first.size();
    } else {
      text.push_back(form[at++]);
    }
  }
  return text;
}

}  // namespace

std::string explain_page(const Explanation& explanation, const std::string& drive_name, const MapOrigin& origin,
                         std::string_view matcher) {
  Json data;
  data["matcher"] = base64_of(matcher);
  data["match"] = match_json(explanation.match);
  data["graph"] = graph_json(explanation.graph);
  data["cell_size_m"] = explanation.map.grid.frame.cell_size_m;
  data["voting"] = {{"prior", explanation.voting.prior_log_odds}};
  data["cells"] = cells_json(explanation.cells);
  const std::string policy =
      fmt::format("default-src 'none'; script-src {}{}; style-src {}; base-uri 'none'; form-action 'none'",
                  hash_source(explain_js()), matcher.empty() ? "" : " 'wasm-unsafe-eval'", hash_source(explain_css()));
  const std::string mark = origin.simulated ? "<span class=\"mark\">simulated drive</span>" : "";
  return filled(explain_html(), {{"@POLICY@", policy},
                                 {"@NAME@", html_text(drive_name)},
                                 {"@MARK@", mark},
                                 {"@STYLE@", std::string(explain_css())},
                                 {"@VERSION@", html_text(origin.program_version)},
                                 {"@DATA@", script_safe(data)},
                                 {"@SCRIPT@", std::string(explain_js())}});
}

std::string explain_page(const Explanation& explanation, const std::string& drive_name, const MapOrigin& origin) {
  return explain_page(explanation, drive_name, origin, matcher_wasm());
}

}  // namespace wainscot
