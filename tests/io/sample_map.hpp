#pragma once

// A map and its drive made by hand, for the tests of the writers: three scans, two nodes, a grid of three by two cells.

#include <limits>
#include <vector>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

inline Drive sample_drive() {
  Drive drive;
  drive.name = "hall <b>& \"kitchen\"";
  drive.checksum = "0123abcd";
  drive.warnings = {"wheels.csv: an unfinished last row was dropped"};
  drive.scans = {{1.0, {{0.5F, 2.25F, 0.0F}, {-3.0F, 0.75F, 0.125F}}}, {1.5, {}}, {2.0, {{0.0F, 1.0F, 0.0F}}}};
  return drive;
}

inline Map sample_map() {
  constexpr float unseen = std::numeric_limits<float>::quiet_NaN();
  Map map;
  map.grid = {{0.05, -37, 4, 3, 2}, {0.0F, 0.25F, 1.0F, unseen, 0.5F, 0.98F}};
  map.trajectory = {{1.0, {0.0, 0.0, 0.0}, {0.0, 0.0, 0.0}, 1},
                    {1.5, {0.5, -0.0000001, 0.1}, {0.51, 0.02, 0.12}, 1},
                    {2.0, {1.0, 0.25, 6.5}, {1.02, 0.3, 0.25}, 1}};
  Node first;
  first.scan = 0;
  first.time_s = 1.0;
  Node second;
  second.scan = 2;
  second.time_s = 2.0;
  second.pose = {1.0, 0.25, 0.2};
  second.covariance << 1e-4, 2e-5, 3e-6, 2e-5, 4e-4, 5e-6, 3e-6, 5e-6, 6e-6;
  map.graph.nodes = {first, second};
  map.place_sds_m = {0.002, 0.008};
  Edge edge;
  edge.kind = EdgeKind::match;
  edge.from = 0;
  edge.to = 1;
  edge.relative = {1.0, 0.25, 0.2};
  edge.information << 100, 1, 2, 1, 200, 3, 2, 3, 300;
  map.graph.edges = {edge};
  LoopCandidate accepted;
  accepted.from = 0;
  accepted.to = 1;
  accepted.predicted = {1.1, 0.2, 0.1};
  accepted.found = {1.0, 0.25, 0.2};
  accepted.overlap = 0.9;
  accepted.contradiction = 0.01;
  accepted.chi_squared = 2.5;
  accepted.verdict = Verdict::accepted;
  accepted.reason = "walls coincide";
  LoopCandidate rejected = accepted;
  rejected.chi_squared = std::numeric_limits<double>::quiet_NaN();
  rejected.verdict = Verdict::rejected;
  rejected.reason = "a wall was seen through";
  map.candidates = {accepted, rejected};
  map.constants = {{"lidar.heading_deg", "deg", 0.0, 2.0, 0.431, 0.0213, true},
                   {"lidar.range_scale", "1", 1.0, 0.005, 1.001, 0.004, false}};
  map.wall_pieces = {{{2.0, 1.0}, 0.5, 0.15, 0.002, 120, 7}};
  map.changes = {{true, {1.0, 2.0}, {1.0, 2.8}, 4, 3, {}}, {false, {0.0, 0.5}, {0.25, 0.75}, 2, 9, {}}};
  map.quality.path_length_m = 1.12;
  map.quality.duration_s = 72.0;
  map.quality.scans_used = 3;
  map.quality.scans_outside_odometry = 2;
  map.quality.matched_fraction = 0.97;
  map.quality.place_sd_m = 0.003;
  map.quality.place_sd_worst_m = 0.008;
  map.quality.position_sd_median_m = 0.004;
  map.quality.position_sd_worst_m = 0.0123;
  map.quality.heading_sd_median_rad = 0.001;
  map.quality.heading_sd_worst_rad = 0.002;
  map.quality.scale_sd = 0.0011;
  map.quality.scale_set_by = "wheels";
  map.warnings = {"the robot saw <nothing> for 2 s", "wheels.csv: an unfinished last row was dropped"};
  return map;
}

/// The same map, extended by a second drive: two scans more, one of them a node's that was joined to the first.
inline std::vector<Drive> sample_drives() {
  Drive second;
  second.name = "tuesday";
  second.checksum = "4567";
  second.warnings = {"tuesday: gyro.csv: odd"};
  second.scans = {{10.0, {{0.25F, 1.5F, 0.0F}}}, {10.5, {{0.25F, 1.5F, 0.0F}}}};
  return {sample_drive(), second};
}

inline Map sample_map_of_two() {
  Map map = sample_map();
  map.trajectory.push_back({10.0, {0.5, 0.5, 0.0}, {0.5, 0.5, 0.0}, 2});
  map.trajectory.push_back({10.5, {0.75, 0.5, 0.0}, {0.8, 0.5, 0.0}, 2});
  Node third;
  third.scan = 0;
  third.time_s = 10.0;
  third.pose = {0.5, 0.5, 0.0};
  third.drive = 2;
  map.graph.nodes.push_back(third);
  map.place_sds_m.push_back(0.004);
  LoopCandidate tie = map.candidates.front();
  tie.to = 2;
  map.candidates.push_back(tie);
  map.shares = {{1.12, 60.0, 3}, {0.25, 12.0, 2}};
  map.changes.push_back({false, {2.0, 0.5}, {2.0, 1.5}, 0, 0, {}, 2, true});
  map.changes.push_back({false, {1.0, 0.5}, {1.0, 1.5}, 0, 0, {}, 2, false});
  return map;
}

inline MapOrigin sample_origin() { return {"9.8.7", true, true}; }

}  // namespace wainscot
