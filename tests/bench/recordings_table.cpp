#include "tests/bench/recordings_table.hpp"

#include <cmath>
#include <functional>

#include <fmt/format.h>

#include "core/angles.hpp"

namespace wainscot::bench {
namespace {

double percent(std::size_t part, std::size_t whole) {
  return whole > 0 ? 100.0 * static_cast<double>(part) / static_cast<double>(whole) : 0.0;
}

double degrees(double rad) { return kDegreesPerRadian * rad; }

/// A title, a header, and a line for each drive that has one ("" where it has none); nothing without lines.
std::string table_of(const std::vector<ScoredDrive>& drives, const std::string& header,
                     const std::function<std::string(const ScoredDrive&)>& line) {
  std::string lines;
  for (const ScoredDrive& drive : drives) {
    const std::string text = drive.failure.empty() ? line(drive) : std::string();
    if (!text.empty()) lines += fmt::format("{:<16}{}\n", drive.name, text);
  }
  return lines.empty() ? lines : header + lines + "\n";
}

std::string path_table(const std::vector<ScoredDrive>& drives) {
  return table_of(drives,
                  fmt::format("Path against the reference, after the best rigid alignment\n{:<16}{:>12}{:>10}{:>10}"
                              "{:>10}{:>10}{:>10}{:>10}\n{:<16}{:>12}{:>10}{:>10}{:>10}{:>10}{:>10}{:>10}\n",
                              "", "scans on map", "off, RMSE", "median", "most", "heading", "off by", "off by", "drive",
                              "with ref.", "m", "m", "m", "deg, RMSE", "> 1 m", "> 10 m"),
                  [](const ScoredDrive& d) {
                    if (!d.mapped.path) return std::string();
                    const TrajectoryError& e = d.mapped.path->error;
                    return fmt::format("{:>12}{:>10.3f}{:>10.3f}{:>10.2f}{:>10.2f}{:>10}{:>10}", e.pairs,
                                       e.position_rmse_m, e.position_median_m, e.position_max_m,
                                       degrees(e.heading_rmse_rad), d.mapped.path->off_by_1m,
                                       d.mapped.path->off_by_10m);
                  });
}

std::string relation_table(const std::vector<ScoredDrive>& drives) {
  return table_of(
      drives,
      fmt::format("Closures by the reference (wrong: more than {:.1f} m or {:.0f} deg off), and where the robot came "
                  "back without one\n"
                  "{:<16}{:>8}{:>8}{:>8}{:>12}{:>10}{:>11}{:>10}{:>10}\n{:<16}{:>8}{:>8}{:>8}{:>12}{:>10}{:>11}"
                  "{:>10}{:>10}\n",
                  kWrongRelation_m, degrees(kWrongRelation_rad), "", "right", "wrong", "no ref.", "came back", "missed",
                  "stretches", "way", "longest", "drive", "", "", "", "nodes", "nodes", "missed", "m", "m"),
      [](const ScoredDrive& d) {
        if (!d.mapped.relations) return std::string();
        const RelationScore& r = *d.mapped.relations;
        return fmt::format("{:>8}{:>8}{:>8}{:>12}{:>10}{:>11}{:>10.1f}{:>10.1f}", r.right, r.wrong, r.unknown,
                           r.returned, r.missed, r.stretches, r.missed_way_m, r.longest_missed_m);
      });
}

std::string held_text(const IntervalScore& s) {
  return fmt::format("{:>10.1f}{:>9.1f}{:>9.2f}{:>8.2f}{:>9.2f}", 100.0 * s.position_held, 100.0 * s.heading_held,
                     s.error_per_sd[0] / kNormalMedian, s.error_per_sd[1] / kNormalMedian,
                     s.error_per_sd[2] / kNormalMedian);
}

std::string held_table(const std::vector<ScoredDrive>& drives) {
  const std::string columns =
      fmt::format("{:>10}{:>9}{:>9}{:>8}{:>9}", "position", "heading", "ahead", "left", "heading");
  const std::string units =
      fmt::format("{:>10}{:>9}{:>9}{:>8}{:>9}", "held, %", "held, %", "factor", "factor", "factor");
  return table_of(
      drives,
      fmt::format("Stated 95 % intervals of nodes, map and reference laid over each other at the first node: how many "
                  "hold, and by\nwhich factor errors are larger than stated (median of |error|/sd over {:.2f}: 1 is "
                  "right, above 1 the sd is too small)\n{:<16}{:>45}{:>45}\n{:<16}{}{}\n{:<16}{}{}\n",
                  kNormalMedian, "", "by the map's word alone", "reference's own noise allowed for", "", columns,
                  columns, "drive", units, units),
      [](const ScoredDrive& d) {
        return d.mapped.intervals ? held_text(*d.mapped.intervals) + held_text(d.mapped.intervals_with_noise)
                                  : std::string();
      });
}

/// Ahead, left and heading.
std::string three_text(double ahead_m, double left_m, double heading_rad) {
  return fmt::format("{:>11.3f}{:>7.3f}{:>9.2f}", ahead_m, left_m, degrees(heading_rad));
}

std::string error_table(const std::vector<ScoredDrive>& drives) {
  const std::string columns = fmt::format("{:>11}{:>7}{:>9}", "ahead", "left", "heading");
  const std::string units = fmt::format("{:>11}{:>7}{:>9}", "m", "m", "deg");
  return table_of(
      drives,
      fmt::format("What these come from: median error, median of the stated sd, the reference's own noise (sd of a "
                  "pose)\n{:<16}{:>27}{:>27}{:>27}{:>18}\n{:<16}{}{}{}{:>18}\n{:<16}{}{}{}{:>10}{:>8}\n",
                  "", "error", "stated sd", "noise of the reference", "first node off,", "", columns, columns, columns,
                  "best alignment", "drive", units, units, units, "m", "deg"),
      [](const ScoredDrive& d) {
        if (!d.mapped.intervals) return std::string();
        const IntervalScore& s = *d.mapped.intervals;
        const Eigen::Vector3d& noise = d.mapped.noise;
        return three_text(s.error[0], s.error[1], s.error[2]) + three_text(s.sd[0], s.sd[1], s.sd[2]) +
               three_text(noise[0], noise[1], noise[2]) +
               fmt::format("{:>10.3f}{:>8.2f}", s.start_off_m, degrees(s.start_off_rad));
      });
}

std::string wall_text(const WallAlignment& walls) {
  return fmt::format("{:>10}{:>14.1f}{:>14.1f}{:>14.1f}", walls.cells, 100.0 * walls.on_walls,
                     100.0 * walls.within_30cm, 100.0 * walls.within_1m);
}

std::string wall_header(const std::string& title) {
  return fmt::format("{}\n{:<16}{:>10}{:>14}{:>14}{:>14}\n", title, "drive", "cells", "in 15 cm, %", "in 30 cm, %",
                     "in 1 m, %");
}

std::string wall_table(const std::vector<ScoredDrive>& drives) {
  return table_of(drives,
                  wall_header("Occupied cells near a wall of the reference map, after the best rigid alignment"),
                  [](const ScoredDrive& d) { return d.walls ? wall_text(*d.walls) : std::string(); });
}

std::string cost_table(const std::vector<ScoredDrive>& drives) {
  return table_of(drives,
                  fmt::format("Cost of mapping\n{:<16}{:>10}{:>12}{:>14}{:>14}{:>16}\n", "drive", "time, s",
                              "recorded, s", "time/recorded", "closures", "peak memory, MB"),
                  [](const ScoredDrive& d) {
                    return fmt::format("{:>10.2f}{:>12.0f}{:>14.5f}{:>14}{:>16.0f}", d.mapped.seconds,
                                       d.mapped.recorded_s, d.mapped.seconds / d.mapped.recorded_s, d.closures,
                                       d.mapped.peak_mb);
                  });
}

std::string failures(const std::vector<ScoredDrive>& drives) {
  std::string text;
  for (const ScoredDrive& drive : drives) {
    if (!drive.failure.empty()) text += fmt::format("{:<16}not scored: {}\n", drive.name, drive.failure);
  }
  return text.empty() ? text : text + "\n";
}

std::string located_text(const std::string& who, const std::string& where, const LocatedDrive& located) {
  std::string text = fmt::format("{:<28}{:>7}{:>9.1f}{:>11.1f}{:>8.1f}", who + " in " + where, located.scans,
                                 percent(located.found, located.scans), percent(located.ambiguous, located.scans),
                                 percent(located.lost, located.scans));
  if (located.laid_by.empty()) {
    text += "   not judged";
  } else {
    text +=
        fmt::format("{:>9}{:>8}{:>11.1f}{:>12.1f}{:>9.3f}{:>9.2f}{:>8}{:>9.1f}{:>8}{:>9.1f}", located.laid_by,
                    located.judged, percent(located.agreeing, located.judged), percent(located.near, located.judged),
                    located.median_m, located.worst_m, located.mapped, percent(located.mapped_found, located.mapped),
                    located.driven, percent(located.driven_found, located.driven));
  }
  if (!located.doubt.empty())
    text += fmt::format("\n  the maps do not tell how they lie on one another: {}", located.doubt);
  return text + "\n";
}

std::string pair_table(const std::vector<ScoredPair>& pairs) {
  if (pairs.empty()) return {};
  std::string text = fmt::format(
      "Located in the other drive's map: share of the scans, and how found ones agree with one motion between the two "
      "maps\n(laid by the maps as a whole or, where these are in doubt, by most answers; agree: within {:.1f} m and "
      "{:.0f} deg; mapped: scans of which {:.0f} %\nof the returns or more end within {:.2f} m of what the map has, "
      "and "
      "how many of these are found; driven: those taken within {:.0f} m of the other's "
      "path)\n{:<28}{:>7}{:>9}{:>11}{:>8}{:>9}{:>8}{:>11}{:>12}{:>9}{:>9}{:>8}{:>9}{:>8}{:>9}\n",
      kAgrees_m, degrees(kAgrees_rad), 100.0 * kMappedShare, kOnWall_m, kDriven_m, "drive", "scans", "found, %",
      "unsure, %", "lost, %", "laid by", "judged", "agree, %", "in 0.5 m, %", "off, m", "most, m", "mapped", "found, %",
      "driven", "found, %");
  for (const ScoredPair& pair : pairs) {
    if (!pair.failure.empty()) {
      text += fmt::format("{}, {}: {}\n", pair.first, pair.second, pair.failure);
      continue;
    }
    text += located_text(pair.second, pair.first, pair.second_in_first);
    text += located_text(pair.first, pair.second, pair.first_in_second);
    const ExtendedDrive& extended = pair.extended;
    text += fmt::format("{} extended by {}: ", pair.first, pair.second);
    text += extended.joined ? fmt::format("joined, {} closures between them", extended.closures)
                            : "not joined: " + extended.why_not;
    if (extended.walls) text += fmt::format("; {:.1f} % of the cells on walls", 100.0 * extended.walls->on_walls);
    text += "\n";
  }
  return text;
}

/// Adds figures to the row begun last.
class Row {
 public:
  explicit Row(FigureTable& table) : table_(table) { table_.begin_row(); }
  void add(const std::string& column, const std::string& text) { table_.add(column, text); }
  void add(const std::string& column, std::size_t count) { table_.add(column, fmt::format("{}", count)); }
  void add(const std::string& column, double figure) { table_.add(column, fmt::format("{:.6g}", figure)); }

 private:
  FigureTable& table_;
};

void add_path(const PathScore& path, Row& row) {
  row.add("placed", path.error.pairs);
  row.add("rmse_m", path.error.position_rmse_m);
  row.add("median_m", path.error.position_median_m);
  row.add("max_m", path.error.position_max_m);
  row.add("heading_deg", degrees(path.error.heading_rmse_rad));
  row.add("off_by_1m", path.off_by_1m);
  row.add("off_by_10m", path.off_by_10m);
}

void add_relations(const RelationScore& relations, Row& row) {
  row.add("closures_right", relations.right);
  row.add("closures_wrong", relations.wrong);
  row.add("closures_without_reference", relations.unknown);
  row.add("returned_nodes", relations.returned);
  row.add("missed_nodes", relations.missed);
  row.add("missed_stretches", relations.stretches);
  row.add("missed_way_m", relations.missed_way_m);
  row.add("longest_missed_m", relations.longest_missed_m);
}

void add_held(const IntervalScore& intervals, const std::string& prefix, Row& row) {
  row.add(prefix + "position_held", intervals.position_held);
  row.add(prefix + "heading_held", intervals.heading_held);
  row.add(prefix + "ahead_error_per_sd", intervals.error_per_sd[0]);
  row.add(prefix + "left_error_per_sd", intervals.error_per_sd[1]);
  row.add(prefix + "heading_error_per_sd", intervals.error_per_sd[2]);
}

void add_three(const std::string& what, double ahead_m, double left_m, double heading_rad, Row& row) {
  row.add("ahead_" + what + "_m", ahead_m);
  row.add("left_" + what + "_m", left_m);
  row.add("heading_" + what + "_deg", degrees(heading_rad));
}

void add_intervals(const MappedDrive& mapped, Row& row) {
  const IntervalScore& s = *mapped.intervals;
  row.add("interval_nodes", s.nodes);
  add_held(s, "", row);
  add_held(mapped.intervals_with_noise, "noise_allowed_", row);
  add_three("error", s.error[0], s.error[1], s.error[2], row);
  add_three("sd", s.sd[0], s.sd[1], s.sd[2], row);
  add_three("reference_noise", mapped.noise[0], mapped.noise[1], mapped.noise[2], row);
  row.add("first_node_off_m", s.start_off_m);
  row.add("first_node_off_deg", degrees(s.start_off_rad));
}

void add_walls(const WallAlignment& walls, Row& row) {
  row.add("cells", walls.cells);
  row.add("on_walls", walls.on_walls);
  row.add("within_30cm", walls.within_30cm);
  row.add("within_1m", walls.within_1m);
  row.add("reference_map_x_m", walls.reference_map.x_m);
  row.add("reference_map_y_m", walls.reference_map.y_m);
  row.add("reference_map_deg", degrees(walls.reference_map.heading_rad));
}

void add_drive(const ScoredDrive& drive, FigureTable& table) {
  Row row(table);
  row.add("drive", drive.name);
  if (!drive.failure.empty()) {
    row.add("failure", drive.failure);
    return;
  }
  row.add("scans", drive.mapped.pose_of_scan.size());
  if (drive.mapped.path) add_path(*drive.mapped.path, row);
  row.add("stated_m", drive.mapped.map.quality.position_sd_median_m);
  row.add("stated_deg", degrees(drive.mapped.map.quality.heading_sd_median_rad));
  row.add("closures", drive.closures);
  row.add("seconds", drive.mapped.seconds);
  row.add("recorded_s", drive.mapped.recorded_s);
  row.add("peak_mb", drive.mapped.peak_mb);
  if (drive.mapped.relations) add_relations(*drive.mapped.relations, row);
  if (drive.mapped.intervals) add_intervals(drive.mapped, row);
  if (drive.walls) add_walls(*drive.walls, row);
}

void add_located(const std::string& who, const std::string& where, const LocatedDrive& located, FigureTable& table) {
  Row row(table);
  row.add("drive", who);
  row.add("in_map_of", where);
  row.add("scans", located.scans);
  row.add("found", located.found);
  row.add("ambiguous", located.ambiguous);
  row.add("lost", located.lost);
  row.add("laid_by", located.laid_by);
  row.add("laying_in_doubt", located.doubt);
  row.add("judged", located.judged);
  row.add("agreeing", located.agreeing);
  row.add("within_half_m", located.near);
  row.add("answer_off_median_m", located.median_m);
  row.add("answer_off_worst_m", located.worst_m);
  row.add("mapped_scans", located.mapped);
  row.add("mapped_found", located.mapped_found);
  row.add("driven_scans", located.driven);
  row.add("driven_found", located.driven_found);
}

void add_extended(const ScoredPair& pair, FigureTable& table) {
  Row row(table);
  row.add("drive", pair.second);
  row.add("extends_map_of", pair.first);
  row.add("joined", std::string(pair.extended.joined ? "yes" : "no"));
  if (!pair.extended.joined) row.add("failure", pair.extended.why_not);
  if (pair.extended.joined) row.add("closures", pair.extended.closures);
  if (pair.extended.walls) add_walls(*pair.extended.walls, row);
}

}  // namespace

std::string tables(const std::vector<ScoredDrive>& drives, const std::vector<ScoredPair>& pairs) {
  return path_table(drives) + relation_table(drives) + held_table(drives) + error_table(drives) + wall_table(drives) +
         cost_table(drives) + failures(drives) + pair_table(pairs);
}

FigureTable figures(const std::vector<ScoredDrive>& drives, const std::vector<ScoredPair>& pairs) {
  FigureTable table;
  for (const ScoredDrive& drive : drives) add_drive(drive, table);
  for (const ScoredPair& pair : pairs) {
    if (!pair.failure.empty()) continue;
    add_located(pair.second, pair.first, pair.second_in_first, table);
    add_located(pair.first, pair.second, pair.first_in_second, table);
    add_extended(pair, table);
  }
  return table;
}

}  // namespace wainscot::bench
