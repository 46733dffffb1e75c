#include "graph/measure/room_tapes.hpp"

#include <cmath>
#include <numbers>

#include "graph/mapping/wall_direction.hpp"

namespace wainscot {
namespace {

constexpr double kFarM = 15.0;  // no tape is longer, and no room of a home deeper: beyond is not looked

/// Whether the piece is part of 0.6 m of one face or more: a table's leg is not what a room ends at.
bool is_of_a_wall(const WallPiece& piece, const std::vector<WallPiece>& pieces) {
  // Chosen by hand: longer than table legs and chairs, shorter than the wall between a door and a corner mostly is.
  // kBesideM lets neighbouring pieces of half a metre meet; kSameWay is 10 degrees, kStepM tells a wall from a cupboard
  // before it.
  constexpr double kLeastM = 0.6;
  constexpr double kBesideM = 0.75;
  constexpr double kSameWay = 0.985;
  constexpr double kStepM = 0.03;
  const Eigen::Vector2d normal = normal_of(piece);
  double length_m = 0.0;
  for (const WallPiece& other : pieces) {
    const Eigen::Vector2d away = other.middle_m - piece.middle_m;
    const bool same_face = away.norm() < kBesideM && std::abs(normal.dot(away)) < kStepM;
    if (same_face && normal.dot(normal_of(other)) > kSameWay) length_m += 2.0 * other.half_length_m;
  }
  return length_m >= kLeastM;
}

/// Where a straight way from the point first meets a piece that looks back at it.
std::optional<Eigen::Vector2d> wall_ahead(const std::vector<WallPiece>& pieces, const Eigen::Vector2d& point,
                                          const Eigen::Vector2d& direction) {
  constexpr double kBesideM = 0.1;    // pieces of one wall lie end to end, nearly
  constexpr double kLooksBack = 0.9;  // cosine: 25 degrees
  double nearest_m = kFarM;
  for (const WallPiece& piece : pieces) {
    const Eigen::Vector2d normal = normal_of(piece);
    const double square = -normal.dot(direction);
    if (square < kLooksBack) continue;
    const double ahead = -normal.dot(piece.middle_m - point) / square;
    if (ahead <= 0.0 || ahead >= nearest_m) continue;
    const Eigen::Vector2d hit = point + ahead * direction;
    const bool meets = (hit - piece.middle_m).norm() < piece.half_length_m + kBesideM;
    if (meets && is_of_a_wall(piece, pieces)) nearest_m = ahead;
  }
  if (nearest_m >= kFarM) return std::nullopt;
  return point + nearest_m * direction;
}

std::optional<Tape> tape_along(const std::vector<WallPiece>& pieces, const Eigen::Vector2d& point, double angle_rad) {
  const Eigen::Vector2d direction(std::cos(angle_rad), std::sin(angle_rad));
  const auto back = wall_ahead(pieces, point, -direction);
  const auto ahead = wall_ahead(pieces, point, direction);
  if (!back || !ahead) return std::nullopt;
  return Tape{*back, *ahead};
}

}  // namespace

RoomTapes room_tapes(const std::vector<WallPiece>& pieces, const Eigen::Vector2d& point) {
  // A room and its neighbours; where they stand skew, the next ones do not count (chosen by hand).
  constexpr double kAroundM = 4.0;
  std::vector<WallPiece> around;
  for (const WallPiece& piece : pieces) {
    if ((piece.middle_m - point).norm() < kAroundM) around.push_back(piece);
  }
  const std::optional<WallDirection> walls = wall_direction(around.empty() ? pieces : around);
  if (!walls) return {};
  constexpr double kQuarter = std::numbers::pi / 2.0;  // of a turn
  const double along_x = walls->direction_rad > kQuarter / 2.0 ? walls->direction_rad - kQuarter : walls->direction_rad;
  return {tape_along(pieces, point, along_x), tape_along(pieces, point, along_x + kQuarter)};
}

}  // namespace wainscot
