#include "graph/adjust/paired_walls.hpp"

#include <cmath>
#include <random>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/adjust/still_nodes.hpp"
#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

TEST(PairedWalls, EachReturnLiesOnItsPiece) {
  const StillNodes still;
  const AdjustmentState state = still.state();
  const PairedWalls walls = paired_walls(state.keyframes, state.poses, still.problem().range_noise);
  ASSERT_EQ(walls.faces.of_piece.size(), walls.pieces.lines().size());
  EXPECT_GE(walls.faces.count, 5) << "the room's longer walls";
  int shared = 0;
  for (std::size_t k = 0; k < state.poses.size(); ++k) {
    const std::vector<ScanPoint>& points = state.keyframes[k].points;
    ASSERT_EQ(walls.piece_of[k].size(), points.size());
    for (std::size_t i = 0; i < points.size(); ++i) {
      EXPECT_EQ(walls.piece_of[k][i] == LineMap::kNone, !points[i].has_normal());
      const Line* line = walls.shared_piece(k, i);
      if (line == nullptr) continue;
      ++shared;
      EXPECT_GE(line->nodes, 2);
      EXPECT_LT(std::abs(line->distance_of(state.poses[k] * Eigen::Vector2d(points[i].x_m, points[i].y_m))), 0.05);
    }
  }
  EXPECT_GT(shared, 1000);
}

const RangeNoise kCoarse{.near_m = 0.04};

/// Of dense, noisy scans of a room, each with the noise of its own.
std::vector<Keyframe> noisy_keyframes(const std::vector<Pose2>& poses, unsigned seed) {
  std::mt19937 random(seed);
  std::vector<Keyframe> keyframes;
  for (std::size_t k = 0; k < poses.size(); ++k) {
    keyframes.push_back(
        {k, static_cast<double>(k),
         scan_points(rectangle(6.0, 4.0), poses[k], {.beams = 3600, .noise_m = kCoarse.near_m}, &random)});
  }
  return keyframes;
}

/// By how much the distances from their pieces would turn a node, least squares.
class Turn {
 public:
  void add(const ScanPoint& p, const Line& line, const Pose2& pose) {
    const Eigen::Vector2d n = pose.rotation().transpose() * line.fitted_normal;
    const double by_turn = n.y() * p.x_m - n.x() * p.y_m;
    pull_ -= by_turn * line.distance_of(pose * Eigen::Vector2d(p.x_m, p.y_m));
    information_ += by_turn * by_turn;
  }
  double rad() const { return pull_ / information_; }

 private:
  double pull_ = 0.0;
  double information_ = 0.0;
};

/// Of the first of these nodes, by pieces that returns were sorted onto as they started them.
double turn_as_started(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses) {
  LineMap pieces;
  std::vector<std::int32_t> piece_of;
  for (std::size_t k = 0; k < keyframes.size(); ++k) {
    for (const ScanPoint& p : keyframes[k].points) {
      const std::int32_t piece = pieces.add(
          poses[k] * Eigen::Vector2d(p.x_m, p.y_m), poses[k].rotation() * Eigen::Vector2d(p.normal_x, p.normal_y),
          1.0 / across_variance(p, kCoarse), static_cast<int>(k), 0, {p.spacing_m, kCoarse.near_m});
      if (k == 0) piece_of.push_back(piece);
    }
    pieces.fit();
  }
  Turn turn;
  for (std::size_t i = 0; i < piece_of.size(); ++i) {
    turn.add(keyframes[0].points[i], pieces.lines()[static_cast<std::size_t>(piece_of[i])], poses[0]);
  }
  return turn.rad();
}

double turn_of_first(const std::vector<Keyframe>& keyframes, const std::vector<Pose2>& poses) {
  const PairedWalls walls = paired_walls(keyframes, poses, kCoarse);
  Turn turn;
  for (std::size_t i = 0; i < keyframes[0].points.size(); ++i) {
    if (const Line* line = walls.shared_piece(0, i)) turn.add(keyframes[0].points[i], *line, poses[0]);
  }
  return turn.rad();
}

/// A mean and its standard error.
struct Mean {
  explicit Mean(const std::vector<double>& values) {
    const auto n = static_cast<double>(values.size());
    double squares = 0.0;
    for (const double value : values) mean += value / n;
    for (const double value : values) squares += (value - mean) * (value - mean);
    standard_error = std::sqrt(squares / (n * (n - 1.0)));
  }
  double mean = 0.0;
  double standard_error = 0.0;
};

// The beams go round one way: where a return's own noise decides which piece it starts or joins, the node that saw the
// walls first is turned that way against the others.
TEST(PairedWalls, NoiseTurnsTheFirstNodeNeitherWay) {
  const std::vector<Pose2> poses{{0.0, 0.0, 0.0},  {0.5, 0.2, 1.1},  {-0.6, 0.4, 2.3}, {0.9, -0.5, -0.7},
                                 {-1.0, 0.3, 0.4}, {1.2, 0.6, -2.0}, {0.1, -0.8, 3.0}, {-0.4, -0.3, -1.5}};
  std::vector<double> started;
  std::vector<double> sorted;
  for (unsigned seed = 0; seed < 32; ++seed) {
    const std::vector<Keyframe> keyframes = noisy_keyframes(poses, seed);
    started.push_back(turn_as_started(keyframes, poses));
    sorted.push_back(turn_of_first(keyframes, poses));
  }
  const Mean as_started(started);
  const Mean as_sorted(sorted);
  // Student's t with 31 degrees of freedom is beyond 3.6 once in a thousand.
  EXPECT_GT(std::abs(as_started.mean), 3.6 * as_started.standard_error) << "else this test tests nothing";
  EXPECT_LT(std::abs(as_sorted.mean), 3.6 * as_sorted.standard_error)
      << as_sorted.mean << " +- " << as_sorted.standard_error << "; as started " << as_started.mean << " +- "
      << as_started.standard_error;
}

TEST(PairedWalls, EveryPieceHasReturns) {
  const std::vector<Pose2> poses{{0.0, 0.0, 0.0}, {0.5, 0.2, 1.1}, {-0.6, 0.4, 2.3}};
  const std::vector<Keyframe> keyframes = noisy_keyframes(poses, 3);
  const PairedWalls walls = paired_walls(keyframes, poses, kCoarse);
  std::vector<int> returns(walls.pieces.lines().size(), 0);
  std::size_t sorted = 0;
  for (const std::vector<std::int32_t>& of_node : walls.piece_of) {
    for (const std::int32_t piece : of_node) {
      if (piece == LineMap::kNone) continue;
      ++sorted;
      ++returns.at(static_cast<std::size_t>(piece));
    }
  }
  for (std::size_t j = 0; j < returns.size(); ++j) {
    EXPECT_GT(returns[j], 0);
    EXPECT_EQ(returns[j], walls.pieces.lines()[j].returns);
  }
  EXPECT_GT(sorted, 3 * 3600 * 99 / 100) << "hardly a return is on no piece";
}

}  // namespace
}  // namespace wainscot
