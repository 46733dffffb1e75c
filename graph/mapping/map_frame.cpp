#include "graph/mapping/map_frame.hpp"

#include <cmath>
#include <numbers>
#include <optional>

#include "graph/mapping/wall_direction.hpp"

namespace wainscot {

Pose2 wanted_frame(const MapFrameOptions& options, const std::vector<WallPiece>& pieces, const Pose2& first) {
  if (options.first_pose) return *options.first_pose * inverse(first);
  const std::optional<WallDirection> walls = options.upright ? wall_direction(pieces) : std::nullopt;
  if (!walls) return {};
  // To the nearest axis: the robot that begins along a wall still looks much the same way.
  const double turn = -std::remainder(walls->direction_rad, std::numbers::pi / 2.0);
  return Pose2{first.x_m, first.y_m, 0.0} * Pose2{0.0, 0.0, turn} * Pose2{-first.x_m, -first.y_m, 0.0};
}

std::vector<WallPiece> in_frame(const Pose2& new_old, std::vector<WallPiece> pieces) {
  for (WallPiece& piece : pieces) {
    piece.middle_m = new_old * piece.middle_m;
    piece.normal_rad = wrap_angle(piece.normal_rad + new_old.heading_rad);
  }
  return pieces;
}

MapMarkers in_frame(const Pose2& new_old, MapMarkers markers) {
  for (MappedMarker& marker : markers.markers) marker.place = new_old * marker.place;
  markers.frame_by_survey = false;
  return markers;
}

MapLines in_frame(const Pose2& new_old, MapLines lines) {
  for (MappedLine& line : lines.lines) {
    line.from_m = new_old * line.from_m;
    line.to_m = new_old * line.to_m;
  }
  return lines;
}

}  // namespace wainscot
