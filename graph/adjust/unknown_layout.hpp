#pragma once

// Where each unknown of the joint adjustment stands in its equations once the wall pieces are eliminated: nodes, then
// the robot's constants, then the range biases of walls' faces, then what belongs to markers, then to lines on the
// floor.

#include <cstddef>
#include <cstdint>

#include <Eigen/Core>

#include "graph/adjust/wall_faces.hpp"
#include "graph/constants.hpp"

namespace wainscot {

struct UnknownLayout {
  std::size_t nodes = 1;             ///< the first is held fixed and has no unknowns
  std::int32_t faces = 0;            ///< of walls, one bias each
  Eigen::Index marker_unknowns = 0;  ///< MarkerFactors::unknowns()
  Eigen::Index line_unknowns = 0;    ///< LineFactors::unknowns()

  /// Of a node's three unknowns the first; below 0 for the node that is held.
  Eigen::Index node(std::size_t k) const { return 3 * (static_cast<Eigen::Index>(k) - 1); }
  Eigen::Index constants() const { return node(nodes); }
  /// Of a face's bias; below 0 for WallFaces::kNone.
  Eigen::Index face(std::int32_t f) const { return f == WallFaces::kNone ? -1 : constants() + kConstants + f; }
  Eigen::Index markers() const { return constants() + kConstants + faces; }
  Eigen::Index lines() const { return markers() + marker_unknowns; }
  Eigen::Index size() const { return lines() + line_unknowns; }
};

}  // namespace wainscot
