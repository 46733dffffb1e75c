#include "graph/mapping/map_warnings.hpp"

#include <algorithm>
#include <cmath>

#include "core/angles.hpp"
#include "graph/mapping/doubts.hpp"
#include "graph/mapping/path_jumps.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

using Texts = std::vector<std::string>;

/// A constant that was found far from what robot.yaml allows: either the file is wrong, or the map is.
void warn_of_constants(const Map& map, Texts& warnings) {
  constexpr double kFarInSd = 4.0;  // one good robot in 16,000, where what is stated is gaussian
  for (const RefinedConstant& c : map.constants) {
    const double sds = std::abs(c.found - c.stated) / c.stated_sd;
    if (c.stated_sd <= 0.0 || sds < kFarInSd || c.name == "gyro.bias_rad_s") continue;
    const std::string unit = c.unit == "1" ? "" : " " + c.unit;
    const bool has_key = c.name.find(' ') == std::string::npos;
    const char* what_to_do = !is_possible(c) ? "no robot's is, so that something else is wrong in robot.yaml or in the "
                                               "log: look with wainscot check"
                             : has_key       ? "correct the file if that is plausible; if not, do not trust this map"
                                             : "leave it if that is plausible; if not, do not trust this map";
    warnings.push_back(sentence("%s was found to be %.5g%s, %.0f standard uncertainties away from %s %.5g: %s",
                                c.name.c_str(), c.found, unit.c_str(), sds, has_key ? "robot.yaml's" : "the expected",
                                c.stated, what_to_do));
  }
}

/// Whether another drive begins at a node.
bool begins_part(const Map& map, std::size_t node, const std::vector<DrivePart>& parts) {
  return part_of_scan(parts, map.graph.nodes[node - 1].scan) != part_of_scan(parts, map.graph.nodes[node].scan);
}

void warn_of_loose_edges(const Map& map, const std::vector<DrivePart>& parts, Texts& warnings) {
  const auto loose = std::count_if(map.graph.edges.begin(), map.graph.edges.end(), [&](const Edge& edge) {
    return edge.kind == EdgeKind::odometry && !begins_part(map, edge.to, parts);
  });
  if (loose == 0) return;
  warnings.push_back(
      sentence("%d of %zu nodes fit no wall that was seen before them: there the path rests on odometry "
               "alone; drive slower, or nearer to walls",
               static_cast<int>(loose), map.graph.nodes.size()));
}

void warn_of_unjoined(const Map& map, Texts& warnings) {
  const std::vector<std::size_t>& unjoined = map.troubles.unjoined;
  if (unjoined.empty()) return;
  const std::string whether = map.few_unjoined() ? "; how sure the map is said to be is said of the others" : "";
  warnings.push_back(
      sentence("%zu of %zu nodes %s tied to the rest by odometry alone, where it had gone wrong or no "
               "wall confirmed it%s: drive there again, slower, from known rooms and back",
               unjoined.size(), map.graph.nodes.size(), unjoined.size() == 1 ? "is" : "are", whether.c_str()));
}

void warn_of_jumps(const OdometryPath& path, std::vector<std::size_t> jumps, const std::vector<DrivePart>& parts,
                   const Map& map, Texts& warnings) {
  constexpr std::size_t kMostTold = 5;  // more than five nobody reads: the rest are counted
  std::erase_if(jumps, [&](std::size_t node) { return begins_part(map, node, parts); });
  for (std::size_t i = 0; i < std::min(jumps.size(), kMostTold); ++i) {
    const Node& before = map.graph.nodes[jumps[i] - 1];
    const Node& after = map.graph.nodes[jumps[i]];
    const Pose2 error = odometry_error_at(map.graph, jumps[i], path);
    const DrivePart part = parts.empty() ? DrivePart{} : parts[part_of_scan(parts, after.scan)];
    warnings.push_back(sentence(
        "%sbetween %.1f and %.1f s odometry went wrong by %.2f m and %.0f degrees (the robot was lifted, or slid): "
        "there the path rests on the scans alone",
        parts.empty() ? "" : (part.name + ": ").c_str(), before.time_s - part.shift_s, after.time_s - part.shift_s,
        error.translation().norm(), std::abs(wrap_angle(error.heading_rad)) / kDegree));
  }
  if (jumps.size() > kMostTold) {
    warnings.push_back(sentence("so it did %zu times more: look for wheels that slip, and for gaps in the log",
                                jumps.size() - kMostTold));
  }
}

void warn_of_unconfirmed(const Map& map, Texts& warnings) {
  const std::size_t count = map.troubles.unconfirmed.size();
  if (count == 0) return;
  warnings.push_back(
      sentence("%zu %s where the robot slid or was lifted %s spanned by no loop, so that one scan alone says where it "
               "came to: drive back through rooms known before",
               count, count == 1 ? "step" : "steps", count == 1 ? "is" : "are"));
}

void warn_of_quality(const Quality& q, Texts& warnings) {
  if (!q.trustworthy()) {
    warnings.push_back(sentence(
        "only %.0f %% of the returns end on a wall of the finished grid: something in robot.yaml or in the log is "
        "wrong (mirrored, heading_deg, a wheel that counts backwards, degrees for radians, ranges in millimetres)",
        100.0 * q.matched_fraction));
  } else if (q.matched_fraction < kManyOnWalls) {
    warnings.push_back(sentence(
        "only %.0f %% of the returns end on a wall of the finished grid, the others where something was seen to be "
        "free: the map is wrong in places, or much of the house moved; look for walls drawn twice",
        100.0 * q.matched_fraction));
  }
  if (q.way_left_open_m > kMuchLeftOpenM) {
    warnings.push_back(
        sentence("along %.0f m of the way the walls told nothing of one direction (a bare corridor's length) or of the "
                 "heading (a "
                 "round room): odometry's word was kept there, and distances are no better than it",
                 q.way_left_open_m));
  }
  if (q.position_sd_worst_m > kNotJoinedM) {
    warnings.push_back(
        "a part of the map is not joined to the rest: odometry broke before it and no place was recognised for sure, "
        "so "
        "that its place means nothing; drive back through known rooms, or say in hints.csv where you were");
  } else if (q.place_sd_worst_m > kLooseM) {
    warnings.push_back(
        sentence("the place of the least certain part is known to %.2f m only, against the map as a whole (standard "
                 "uncertainty): drive back through known rooms so that loops can be closed",
                 q.place_sd_worst_m));
  }
  if (q.scans_outside_odometry > 0) {
    warnings.push_back(sentence("%d %s outside of odometry's times and %s left out", q.scans_outside_odometry,
                                q.scans_outside_odometry == 1 ? "scan lies" : "scans lie",
                                q.scans_outside_odometry == 1 ? "was" : "were"));
  }
}

/// The first of `count` rows of a table that were left out; `who`: "marker 7: why".
std::string left_out_text(const char* table, std::size_t count, const std::string& when, const std::string& who) {
  return sentence("%zu row%s of %s %s left out, %s%s (%s)%s", count, count == 1 ? "" : "s", table,
                  count == 1 ? "was" : "were", count == 1 ? "" : "the first ", when.c_str(), who.c_str(),
                  count == 1 ? "" : "; summary.json has them all");
}

std::string time_text(double time_s, const std::vector<DrivePart>& parts) {
  const DrivePart part = parts.empty() ? DrivePart{} : parts[part_at(parts, time_s)];
  return sentence("%.1f s%s%s", time_s - part.shift_s, parts.empty() ? "" : " of ", part.name.c_str());
}

void warn_of_left_out_rows(const Map& map, const std::vector<DrivePart>& parts, Texts& warnings) {
  if (!map.markers.left_out.empty()) {
    const LeftOutSighting& first = map.markers.left_out.front();
    warnings.push_back(left_out_text("markers.csv", map.markers.left_out.size(), "at " + time_text(first.time_s, parts),
                                     "marker " + first.marker + ": " + first.reason));
  }
  if (!map.lines.left_out.empty()) {
    const LeftOutStretch& first = map.lines.left_out.front();
    warnings.push_back(left_out_text("followed.csv", map.lines.left_out.size(),
                                     "from " + time_text(first.from_s, parts) + " on",
                                     "line " + first.line + ": " + first.reason));
  }
}

/// Measured lines that the map has elsewhere, beyond what following and measuring explain. They count for little.
void warn_of_survey(const Map& map, Texts& warnings) {
  constexpr double kMostInSd = 4.0;  // of honest lines one in sixteen thousand
  for (const MappedLine& line : map.lines.lines) {
    if (!line.measured || line.survey_difference_m <= kMostInSd * line.own_sd_m) continue;
    warnings.push_back(
        sentence("line %s lies %.3f m from where line_map.csv has it, and %.3f m is what following and measuring "
                 "explain, so that it counts for little: measure it again, or look whether it was moved",
                 line.name.c_str(), line.survey_difference_m, line.own_sd_m));
  }
}

}  // namespace

std::vector<std::string> map_warnings(const Drive& drive, const OdometryPath& path,
                                      const std::vector<std::size_t>& jumps, const std::vector<DrivePart>& parts,
                                      const Map& map) {
  Texts warnings = drive.warnings;
  warn_of_constants(map, warnings);
  warn_of_loose_edges(map, parts, warnings);
  warn_of_unjoined(map, warnings);
  warn_of_quality(map.quality, warnings);
  warn_of_jumps(path, jumps, parts, map, warnings);
  warn_of_unconfirmed(map, warnings);
  warn_of_left_out_rows(map, parts, warnings);
  warn_of_survey(map, warnings);
  return warnings;
}

}  // namespace wainscot
