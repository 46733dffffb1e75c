#include "graph/adjust/paired_walls.hpp"

#include <cstddef>
#include <utility>

namespace wainscot {
namespace {

/// A return in the map's frame.
struct PlacedReturn {
  std::size_t index;  ///< among the node's
  Eigen::Vector2d point;
  Eigen::Vector2d normal;
  double weight;  ///< 1 / variance across the wall
  LineReach reach;
};

template <typename Visit>
void visit_returns(const Keyframe& keyframe, const Pose2& pose, const RangeNoise& noise, const Visit& visit) {
  const Eigen::Matrix2d rotation = pose.rotation();
  for (std::size_t i = 0; i < keyframe.points.size(); ++i) {
    const ScanPoint& p = keyframe.points[i];
    if (!p.has_normal()) continue;
    visit(PlacedReturn{i,
                       pose * Eigen::Vector2d(p.x_m, p.y_m),
                       rotation * Eigen::Vector2d(p.normal_x, p.normal_y),
                       1.0 / across_variance(p, noise),
                       {p.spacing_m, noise.at(p.range_m)}});
  }
}

/// Where the walls are, by all nodes.
struct FittedPieces {
  LineMap pieces;
  std::vector<int> first_node;  ///< of each piece: which one saw it first
};

FittedPieces fitted_pieces(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses,
                           const RangeNoise& noise) {
  FittedPieces fitted;
  for (std::size_t k = 0; k < keyframes.size(); ++k) {
    visit_returns(keyframes[k], poses[k], noise, [&](const PlacedReturn& r) {
      fitted.pieces.add(r.point, r.normal, r.weight, static_cast<int>(k), 0, r.reach);
    });
    fitted.first_node.resize(fitted.pieces.lines().size(), static_cast<int>(k));
    fitted.pieces.fit();
  }
  return fitted;
}

/// A LineMap passes over lines last touched before a node. This is a time before all nodes at which a piece counts as
/// touched, so that only those nodes see it that came no earlier than the one which began it.
int before_all(int first_node) { return -1 - first_node; }

/// The same pieces, where they were fitted, without their returns.
LineMap without_returns(const FittedPieces& fitted) {
  std::vector<Line> lines = fitted.pieces.lines();
  for (std::size_t i = 0; i < lines.size(); ++i) {
    Line& line = lines[i];
    line.weight = line.along = line.across = line.along2 = line.along_across = 0.0;
    line.first_along_m = line.last_along_m = 0.0;
    line.nodes = line.returns = 0;
    line.last_node = before_all(fitted.first_node[i]);
  }
  return LineMap(std::move(lines));
}

/// Pieces that no return came back to stand for no wall.
void remove_empty_pieces(PairedWalls& walls) {
  std::vector<std::int32_t> number;  // of each piece once they are gone
  std::int32_t kept = 0;
  for (const Line& line : walls.pieces.lines()) number.push_back(line.nodes > 0 ? kept++ : LineMap::kNone);
  for (std::vector<std::int32_t>& of_node : walls.piece_of) {
    for (std::int32_t& piece : of_node) {
      if (piece != LineMap::kNone) piece = number[static_cast<std::size_t>(piece)];
    }
  }
  walls.pieces.forget(0);
}

}  // namespace

PairedWalls paired_walls(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses,
                         const RangeNoise& noise) {
  // Which return starts a piece is decided by its own noise: beam after beam, that one which noise carries beyond the
  // reach of the piece before. On a wall that recedes it is one that is too long, on a wall that comes nearer one that
  // is too short, and those that err likewise join it. So the node that saw a wall first would be turned against all
  // others the way that the beams go round, by up to 0.25 degrees where thousands of beams err by centimetres. On
  // pieces that are fitted to all nodes' returns already, no node's own noise chooses for it. Pieces that only later
  // nodes began stay closed to a node, as they were: where drift has laid two walls beside each other its returns would
  // go over to the other one (a recorded drive of a castle was off by 0.15 m then, by 0.10 m now).
  PairedWalls walls;
  walls.pieces = without_returns(fitted_pieces(keyframes, poses, noise));
  walls.piece_of.resize(keyframes.size());
  for (std::size_t k = 0; k < keyframes.size(); ++k) {
    walls.piece_of[k].assign(keyframes[k].points.size(), LineMap::kNone);
    visit_returns(keyframes[k], poses[k], noise, [&](const PlacedReturn& r) {
      const int node = static_cast<int>(k);
      walls.piece_of[k][r.index] = walls.pieces.add(r.point, r.normal, r.weight, node, before_all(node), r.reach);
    });
  }
  walls.pieces.fit();
  remove_empty_pieces(walls);
  walls.faces = wall_faces(walls.pieces);
  return walls;
}

}  // namespace wainscot
