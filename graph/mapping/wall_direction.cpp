#include "graph/mapping/wall_direction.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "core/angles.hpp"

namespace wainscot {
namespace {

constexpr double kQuarter = std::numbers::pi / 2.0;  // of a turn
// Walls that are built parallel are, to a degree or two; furniture is not (chosen by hand).
constexpr double kNear = 5.0 * kDegree;

/// An angle between -pi/4 and pi/4: what is left beyond whole quarter turns.
double beyond_quarters(double angle_rad) { return std::remainder(angle_rad, kQuarter); }

double length_of(const WallPiece& piece) { return 2.0 * piece.half_length_m; }

/// Length of the walls within 3 degrees, for each whole degree of a quarter turn; the fullest one.
double fullest_degree(const std::vector<WallPiece>& pieces) {
  std::array<double, 90> lengths{};
  for (const WallPiece& piece : pieces) {
    const int degree = static_cast<int>(std::lround(piece.normal_rad / kDegree));
    for (int around = degree - 3; around <= degree + 3; ++around) {
      lengths[static_cast<std::size_t>(((around % 90) + 90) % 90)] += length_of(piece);
    }
  }
  return static_cast<double>(std::max_element(lengths.begin(), lengths.end()) - lengths.begin()) * kDegree;
}

}  // namespace

std::optional<WallDirection> wall_direction(const std::vector<WallPiece>& pieces) {
  constexpr int kRounds = 10;  // of the mean of what is near the last mean
  if (pieces.empty()) return std::nullopt;
  WallDirection found{fullest_degree(pieces), 0.0};
  for (int round = 0; round < kRounds; ++round) {
    double all = 0.0;
    double near = 0.0;
    double turn = 0.0;
    for (const WallPiece& piece : pieces) {
      const double off = beyond_quarters(piece.normal_rad - found.direction_rad);
      all += length_of(piece);
      if (std::abs(off) > kNear) continue;
      near += length_of(piece);
      turn += off * length_of(piece);
    }
    if (near <= 0.0) return std::nullopt;
    found.direction_rad += turn / near;
    found.share = near / all;
  }
  found.direction_rad -= kQuarter * std::floor(found.direction_rad / kQuarter);
  return found;
}

}  // namespace wainscot
