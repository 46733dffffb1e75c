#pragma once

// At which nodes of the graph the robot was on a line on the floor.

#include <cstddef>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/pose2.hpp"

namespace wainscot {

/// A row of followed.csv with the nodes in its time.
struct StretchNodes {
  std::size_t stretch = 0;  ///< index into Drive::followed
  std::size_t line = 0;     ///< index into line_names()
  std::vector<std::size_t> nodes;
  double sd_m = 0.01;  ///< as stated
  double from_s = 0.0;
  double to_s = 0.0;
};

/// The names of the lines that were followed, each once, in alphabetical order.
std::vector<std::string> line_names(const Drive& drive);

/// One for each of Drive::followed; without nodes where none was made in its time. `times_s`: of all nodes.
std::vector<StretchNodes> nodes_of_stretches(const Drive& drive, const std::vector<double>& times_s);

/// Where the robot was at each of a stretch's nodes. `poses`: of all nodes.
std::vector<Eigen::Vector2d> places_of(const StretchNodes& stretch, const std::vector<Pose2>& poses);

}  // namespace wainscot
