#include "graph/compare/map_alignment.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include <Eigen/Dense>

#include "scanmatch/line_map.hpp"

namespace wainscot {
namespace {

constexpr int directions = 360;
using DirectionHistogram = std::array<double, directions>;

Eigen::Vector2d unit(double angle_rad) { return {std::cos(angle_rad), std::sin(angle_rad)}; }

/// Length of wall by the direction of its normal, spread over two degrees to both sides.
DirectionHistogram direction_histogram(std::span<const WallPiece> pieces) {
  DirectionHistogram histogram{};
  for (const WallPiece& piece : pieces) {
    const auto middle = static_cast<int>(std::lround(piece.normal_rad * 180.0 / std::numbers::pi));
    for (int beside = -2; beside <= 2; ++beside) {
      const int bin = ((middle + beside) % directions + directions) % directions;
      histogram[static_cast<std::size_t>(bin)] += piece.half_length_m * (3 - std::abs(beside));
    }
  }
  return histogram;
}

/// Turns of the second onto the first, the likeliest first; neighbours of a likelier one are left out.
std::vector<double> likely_turns(std::span<const WallPiece> first, std::span<const WallPiece> second, int most) {
  const DirectionHistogram a = direction_histogram(first);
  const DirectionHistogram b = direction_histogram(second);
  struct Turn {
    double score;
    int degrees;
  };
  std::vector<Turn> turns;
  for (int turn = 0; turn < directions; ++turn) {
    double score = 0.0;
    for (int bin = 0; bin < directions; ++bin) {
      score += a[static_cast<std::size_t>((bin + turn) % directions)] * b[static_cast<std::size_t>(bin)];
    }
    turns.push_back({score, turn});
  }
  std::stable_sort(turns.begin(), turns.end(), [](const Turn& x, const Turn& y) { return x.score > y.score; });
  std::vector<double> chosen;
  for (const Turn& turn : turns) {
    const double angle_rad = turn.degrees * std::numbers::pi / 180.0;
    const bool is_new = std::none_of(chosen.begin(), chosen.end(), [&](double other_rad) {
      return std::abs(wrap_angle(other_rad - angle_rad)) < 5.5 * std::numbers::pi / 180.0;
    });
    if (is_new) chosen.push_back(angle_rad);
    if (chosen.size() == static_cast<std::size_t>(most)) break;
  }
  return chosen;
}

/// Every k-th piece, so that there are 2000 at most: votes are of all pairs.
std::vector<WallPiece> thinned(std::span<const WallPiece> pieces) {
  const std::size_t step = pieces.size() / 2000 + 1;
  std::vector<WallPiece> kept;
  for (std::size_t i = 0; i < pieces.size(); i += step) kept.push_back(pieces[i]);
  return kept;
}

/// Motions of one turn under which many pairs of pieces coincide.
std::vector<Pose2> likely_motions(const std::vector<WallPiece>& first, const std::vector<WallPiece>& second,
                                  double turn_rad, const MapAlignmentOptions& options) {
  const Eigen::Matrix2d rotation = Pose2{0.0, 0.0, turn_rad}.rotation();
  Eigen::Array2d low = Eigen::Array2d::Constant(1e300);
  Eigen::Array2d high = -low;
  std::vector<Eigen::Vector2d> turned;
  for (const WallPiece& piece : second) turned.emplace_back(rotation * piece.middle_m);
  for (const Eigen::Vector2d& b : turned) {
    for (const WallPiece& a : first) {
      low = low.min((a.middle_m - b).array());
      high = high.max((a.middle_m - b).array());
    }
  }
  const auto columns = static_cast<std::size_t>((high - low).x() / options.vote_cell_m) + 1;
  const auto rows = static_cast<std::size_t>((high - low).y() / options.vote_cell_m) + 1;
  std::vector<double> votes(columns * rows, 0.0);
  for (std::size_t j = 0; j < second.size(); ++j) {
    for (const WallPiece& a : first) {
      if (std::abs(wrap_angle(second[j].normal_rad + turn_rad - a.normal_rad)) > 0.12) continue;
      const Eigen::Array2d cell = ((a.middle_m - turned[j]).array() - low) / options.vote_cell_m;
      votes[static_cast<std::size_t>(cell.y()) * columns + static_cast<std::size_t>(cell.x())] +=
          std::min(a.half_length_m, second[j].half_length_m);
    }
  }
  std::vector<Pose2> motions;
  for (int i = 0; i < options.most_shifts; ++i) {
    const auto best = std::max_element(votes.begin(), votes.end());
    if (*best <= 0.0) break;
    const auto index = static_cast<std::size_t>(best - votes.begin());
    *best = 0.0;
    motions.push_back({low.x() + (static_cast<double>(index % columns) + 0.5) * options.vote_cell_m,
                       low.y() + (static_cast<double>(index / columns) + 0.5) * options.vote_cell_m, turn_rad});
  }
  return motions;
}

LineMap lines_of(std::span<const WallPiece> pieces) {
  LineMap lines;
  for (const WallPiece& piece : pieces) {
    const Eigen::Vector2d normal = unit(piece.normal_rad);
    const Eigen::Vector2d tangent(normal.y(), -normal.x());
    for (const double part : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
      lines.add(piece.middle_m + part * piece.half_length_m * tangent, normal, 1e4, 0, 0);
    }
  }
  lines.fit();
  return lines;
}

double length_of(std::span<const WallPiece> pieces) {
  double sum = 0.0;
  for (const WallPiece& piece : pieces) sum += 2.0 * piece.half_length_m;
  return sum;
}

/// Gauss-Newton of the distances of the second's pieces from the first's lines, the gate shrinking.
Pose2 refined(const LineMap& first, std::span<const WallPiece> second, Pose2 motion,
              const MapAlignmentOptions& options) {
  for (int i = 0; i < options.iterations; ++i) {
    const double gate_m = std::max(options.last_gate_m, options.first_gate_m * std::pow(0.8, i));
    Eigen::Matrix3d normal_matrix = 1e-9 * Eigen::Matrix3d::Identity();
    Eigen::Vector3d right_side = Eigen::Vector3d::Zero();
    for (const WallPiece& piece : second) {
      const Eigen::Vector2d arm = motion.rotation() * piece.middle_m;
      const Eigen::Vector2d place = motion.translation() + arm;
      const std::int32_t found = first.find(place, unit(piece.normal_rad + motion.heading_rad), gate_m);
      if (found == LineMap::kNone) continue;
      const Line& line = first.lines()[static_cast<std::size_t>(found)];
      const double distance = line.distance_of(place);
      const double ratio = distance / options.robust_scale_m;
      const double weight = piece.half_length_m / (1.0 + ratio * ratio);
      const Eigen::Vector2d& n = line.fitted_normal;
      const Eigen::Vector3d row(n.x(), n.y(), arm.x() * n.y() - arm.y() * n.x());
      normal_matrix += weight * row * row.transpose();
      right_side -= weight * distance * row;
    }
    const Eigen::Vector3d step = normal_matrix.ldlt().solve(right_side);
    motion.x_m += step.x();
    motion.y_m += step.y();
    motion.heading_rad += step.z();
  }
  motion.heading_rad = wrap_angle(motion.heading_rad);
  return motion;
}

double agreeing_length(const LineMap& first, std::span<const WallPiece> second, const Pose2& motion, double gate_m) {
  double sum = 0.0;
  for (const WallPiece& piece : second) {
    const Eigen::Vector2d place = motion * piece.middle_m;
    if (first.find(place, unit(piece.normal_rad + motion.heading_rad), gate_m) != LineMap::kNone) {
      sum += 2.0 * piece.half_length_m;
    }
  }
  return sum;
}

std::vector<Pose2> first_guesses(std::span<const WallPiece> first, std::span<const WallPiece> second,
                                 const MapAlignmentOptions& options) {
  const std::vector<WallPiece> few_first = thinned(first);
  const std::vector<WallPiece> few_second = thinned(second);
  std::vector<Pose2> guesses;
  for (const double turn_rad : likely_turns(first, second, options.most_turns)) {
    const std::vector<Pose2> motions = likely_motions(few_first, few_second, turn_rad, options);
    guesses.insert(guesses.end(), motions.begin(), motions.end());
  }
  return guesses;
}

bool are_different(const Pose2& a, const Pose2& b) {
  return (a.translation() - b.translation()).norm() > 0.5 ||
         std::abs(wrap_angle(a.heading_rad - b.heading_rad)) > 5.0 * std::numbers::pi / 180.0;
}

}  // namespace

MapAlignment align_walls(std::span<const WallPiece> first, std::span<const WallPiece> second,
                         const std::optional<Pose2>& near, const MapAlignmentOptions& options) {
  if (first.empty() || second.empty()) return {near.value_or(Pose2{}), 0.0, 0.0};
  const LineMap lines = lines_of(first);
  const double shorter_m = std::max(1e-9, std::min(length_of(first), length_of(second)));
  std::vector<MapAlignment> tried;
  for (const Pose2& guess : near ? std::vector<Pose2>{*near} : first_guesses(first, second, options)) {
    const Pose2 motion = refined(lines, second, guess, options);
    const double length_m = agreeing_length(lines, second, motion, options.last_gate_m);
    tried.push_back({motion, std::min(1.0, length_m / shorter_m), 0.0});
  }
  if (tried.empty()) return {};
  MapAlignment best = *std::max_element(tried.begin(), tried.end(), [](const MapAlignment& a, const MapAlignment& b) {
    return a.agreement < b.agreement;
  });
  for (const MapAlignment& other : tried) {
    if (are_different(best.first_second, other.first_second)) {
      best.runner_up = std::max(best.runner_up, other.agreement);
    }
  }
  return best;
}

}  // namespace wainscot
