#pragma once

// A comparison made by hand, for the tests of its writers: one path that lies 0.1 m beside the true one at both ends
// and two maps that differ in one cell.

#include "io/results/comparison.hpp"

namespace wainscot {

inline Comparison sample_comparison() {
  Comparison comparison;
  comparison.title = "<b>monday</b> and friday compared";
  comparison.reference = "the true path";
  comparison.against_truth = true;
  comparison.simulated = true;
  std::vector<TimedPose> estimate;
  for (int i = 0; i <= 40; ++i) {
    const double x = 0.5 * i;
    comparison.reference_path.push_back({0.5 * i, {x, 0.0, 0.0}});
    estimate.push_back({0.5 * i, {1.01 * x, 0.0, 0.0}});
  }
  comparison.paths.push_back(compare_path("found, <b>\"odd\"</b>", estimate, comparison.reference_path));
  comparison.background = BackgroundMap{{{0.5, 0, 0, 2, 1}, {0.0F, 1.0F}}, {}};
  MapsComparison maps;
  maps.first = "monday";
  maps.second = "friday";
  maps.alignment = {{0.5, -0.25, 0.1}, 0.97, 0.3};
  maps.walls.pieces = 100;
  maps.walls.paired = 93;
  maps.walls.offset_median_m = 0.002;
  maps.walls.distances = {{{0.0, 0.0}, {3.0, 0.0}, 3.004, 2.989, 0.004}};
  maps.walls.distance_median_m = 0.015;
  maps.grid.frame = {0.1, 0, 0, 3, 1};
  maps.grid.cell = {CellDifference::floor, CellDifference::only_first, CellDifference::wall_in_both};
  comparison.maps = maps;
  return comparison;
}

}  // namespace wainscot
