#pragma once

// Walls as straight lines for plans: wall pieces that go on in one line, fitted together.

#include <span>
#include <vector>

#include <Eigen/Core>

#include "graph/map.hpp"

namespace wainscot {

struct WallLineOptions {
  int least_nodes = 2;             ///< pieces seen from fewer places are left out
  double step_m = 0.02;            ///< a piece of which an end lies further off the line is another thing: a panel
  double same_way_cosine = 0.985;  ///< 10 degrees: short pieces are not so sure of their direction
  double gap_m = 0.1;              ///< a wider gap parts two lines: one side of a partition from the other
  double least_length_m = 0.2;     ///< shorter ones are legs and edges of things, not walls
  double corner_m = 0.2;           ///< two ends this near to where their lines cross are one corner, which no beam met
};

/// One face of a wall.
struct WallLine {
  Eigen::Vector2d from_m = Eigen::Vector2d::Zero();  ///< map frame; the side that was seen lies to the left
  Eigen::Vector2d to_m = Eigen::Vector2d::Zero();    ///< of the way from one end to the other
  double sd_m = 0.0;  ///< standard uncertainty of its place across it, that of its median piece
  int pieces = 0;
  int returns = 0;
  double length_m() const { return (to_m - from_m).norm(); }
};

/// The longest first. Pieces whose uncertainty is not known are left out. Each line is the least-squares fit of its
/// pieces' ends, weighted by length and stated uncertainty; a piece belongs to one line at most. A round wall becomes
/// several lines.
std::vector<WallLine> wall_lines(std::span<const WallPiece> pieces, const WallLineOptions& options = {});

}  // namespace wainscot
