#include "io/rooms/doorway_width.hpp"

#include <cmath>
#include <optional>

namespace wainscot {
namespace {

/// nullopt: the faces near the ends are not those of the jambs.
std::optional<TapeMeasure> between_jambs(const Doorway& door, const MeasurableMap& map, double cell_size_m) {
  constexpr double kNearCells = 1.5;  // an end lies within half a cell of its face, and cells are blurred by one
  TapeOptions options;
  options.reach_m = 2.0 * kNearCells * cell_size_m;
  const std::optional<TapeMeasure> measure = measure_tape(map, {door.from_m, door.to_m}, options).measure;
  if (!measure || measure->kind != TapeKind::across) return std::nullopt;
  const Eigen::Vector2d along = (door.to_m - door.from_m).normalized();
  const double from_off_m = std::abs(along.dot(measure->from_m - door.from_m));
  const double to_off_m = std::abs(along.dot(measure->to_m - door.to_m));
  const bool same = from_off_m <= kNearCells * cell_size_m && to_off_m <= kNearCells * cell_size_m;
  return same ? measure : std::nullopt;
}

}  // namespace

void measure_doorways(std::vector<Doorway>& doors, const MeasurableMap& map, double cell_size_m) {
  for (Doorway& door : doors) {
    if (const auto measure = between_jambs(door, map, cell_size_m)) {
      door.width_m = measure->distance_m;
      door.sd_m = measure->sd_m;
      door.by_faces = true;
    } else {
      door.sd_m = std::hypot(door.sd_m, map.scale_sd() * door.width_m, 2.0 * map.range_offset_sd_m());
    }
  }
}

}  // namespace wainscot
