#pragma once

// A map's folder for the fuzz targets: what `build` writes, as far as it is read back, of a map and a drive made by
// hand.

#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include <SQLiteCpp/SQLiteCpp.h>

#include "core/errors.hpp"
#include "drive_invariants.hpp"
#include "graph/compare/node_points.hpp"
#include "io/grid/grid_writer.hpp"
#include "io/map/graph_database.hpp"
#include "io/map/map_reader.hpp"
#include "io/map/trajectory_csv.hpp"
#include "scanmatch/normals.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {

inline std::vector<Drive> small_drives() {
  std::vector<Drive> drives = sample_drives();
  Drive& counted = drives[0];
  counted.robot.drive = DriveConstants{};
  counted.robot.drive->left_m_per_tick = counted.robot.drive->right_m_per_tick = 1e-4;
  counted.robot.drive->track_width_m = 0.31;
  counted.wheels = {{0.5, 10, -20}, {1.0, 15, 30}, {2.5, 20, 7}};
  counted.breaks = {1};
  counted.gyro = {{0.75, -0.5}};
  counted.markers = {{1.25, "door 'a'", 0.5, -0.25, std::nullopt}, {1.5, "b", 1.0, 2.0, 0.125}};
  counted.marker_map = {{"b", 3.0, 4.0, 1.5}};
  counted.hints = {{1.0, 2.0, false}};
  drives[1].odometry = {{9.0, {1.0, 2.0, 0.5}}, {11.0, {1.5, 2.0, 0.5}}};
  return drives;
}

inline std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// The files of the map, with which a run begins.
struct SmallMap {
  std::string grid_yaml;
  std::string grid_pgm;
  std::string trajectory_csv;
  std::string odometry_csv;
  std::string graph_sqlite;

  SmallMap() {
    const Map map = sample_map_of_two();
    const std::vector<Drive> drives = small_drives();
    grid_yaml = wainscot::grid_yaml(map.grid.frame, map.trajectory.front().pose, drives, sample_origin());
    grid_pgm = wainscot::grid_pgm(map.grid);
    trajectory_csv = wainscot::trajectory_csv(map.trajectory);
    odometry_csv = wainscot::odometry_csv(map.trajectory);
    const ReaderFolder folder;
    const std::filesystem::path file = folder.path() / "graph.sqlite";
    write_graph_database(map, drives, sample_origin(), file);
    // The smallest pages there are: few bytes to write on each run, and a damage seldom misses.
    SQLite::Database(file.string(), SQLite::OPEN_READWRITE).exec("PRAGMA page_size = 512; VACUUM");
    graph_sqlite = bytes_of(file);
  }

  void write(const ReaderFolder& folder) const {
    folder.write("grid.yaml", grid_yaml);
    folder.write("grid.pgm", grid_pgm);
    folder.write("trajectory.csv", trajectory_csv);
    folder.write("odometry.csv", odometry_csv);
    folder.write("graph.sqlite", graph_sqlite);
  }
};

/// What is wrong with a grid that was read, or "".
inline std::string broken_invariant(const OccupancyGrid& grid) {
  if (grid.frame.columns < 1 || grid.frame.rows < 1) return "an empty grid";
  if (grid.probability.size() !=
      static_cast<std::size_t>(grid.frame.columns) * static_cast<std::size_t>(grid.frame.rows)) {
    return "cells";
  }
  for (const float probability : grid.probability) {
    if (!std::isnan(probability) && !(probability >= 0.0F && probability <= 1.0F)) return "a cell";
  }
  return "";
}

/// What is wrong with a map that was read, or "".
inline std::string broken_invariant(const SavedMap& saved) {
  const std::string broken_grid = broken_invariant(saved.map.grid);
  if (!broken_grid.empty()) return broken_grid;
  for (const TrajectoryRow& row : saved.map.trajectory) {
    if (!is_finite(row.pose) || !is_finite(row.odometry) || !std::isfinite(row.time_s)) return "a path";
  }
  for (const Drive& drive : saved.drives) {
    if (!times_never_decrease(drive.wheels) || !times_never_decrease(drive.odometry) ||
        !times_never_decrease(drive.gyro) || !times_never_decrease(drive.markers)) {
      return "a drive's times";
    }
    const std::size_t rows = drive.wheels.size() + drive.odometry.size();
    for (std::size_t i = 0; i < drive.breaks.size(); ++i) {
      if (drive.breaks[i] == 0 || drive.breaks[i] >= rows) return "breaks";
    }
  }
  const std::vector<Node>& nodes = saved.map.graph.nodes;
  for (const Node& node : nodes) {
    if (!is_finite(node.pose) || !node.covariance.allFinite()) return "a node";
    if (node.drive < 1 || static_cast<std::size_t>(node.drive) > saved.drives.size()) return "a node's drive";
    if (node.scan >= saved.drives[static_cast<std::size_t>(node.drive - 1)].scans.size()) return "a node's scan";
  }
  for (const Edge& edge : saved.map.graph.edges) {
    if (edge.from >= nodes.size() || edge.to >= nodes.size() || !is_finite(edge.relative)) return "an edge";
  }
  for (const LoopCandidate& candidate : saved.map.candidates) {
    if (candidate.from >= nodes.size() || candidate.to >= nodes.size()) return "a candidate";
  }
  return "";
}

/// Reads the folder as the commands do that use a map. What was broken, or "".
inline std::string broken_reading(const std::filesystem::path& folder) {
  std::string broken;
  try {
    broken = broken_invariant(read_grid_of(folder, read_paths(folder)));  // as `draw` and `compare`
  } catch (const InputError& error) {
    broken = broken_message(error.what());
  }
  if (!broken.empty()) return broken;
  try {
    const SavedMap saved = read_map(folder);  // as `export`, `measure`, `extend` and `locate`
    broken = broken_invariant(saved);
    for (std::size_t i = 0; broken.empty() && i < saved.map.graph.nodes.size(); ++i) {  // what they all begin with
      const Drive& drive = saved.drives[static_cast<std::size_t>(saved.map.graph.nodes[i].drive) - 1];
      std::vector<ScanPoint> points = node_points(saved.map, drive, found_lidar(saved.map, drive.robot), i);
      estimate_normals(points, range_noise(drive.robot.lidar));
    }
  } catch (const InputError& error) {
    broken = broken_message(error.what());
  }
  return broken;
}

}  // namespace wainscot
