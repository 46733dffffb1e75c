#include "io/rooms/doorways.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <deque>
#include <map>
#include <numbers>
#include <set>
#include <utility>

namespace wainscot {
namespace {

constexpr double kFarthestM = 15.0;  // of a ray: a hall between two rooms may be as wide

/// How far from a place the floor goes on in a direction, in metres, to the side of the first cell that is not open.
double free_way_m(const OpenFloor& floor, const Eigen::Vector2d& from_m, const Eigen::Vector2d& direction) {
  const double step_m = 0.1 * floor.frame.cell_size_m;
  double way_m = 0.0;
  while (way_m < kFarthestM && floor.is_open(from_m + (way_m + step_m) * direction)) way_m += step_m;
  return way_m;
}

struct Chord {
  Eigen::Vector2d from_m{0.0, 0.0};
  Eigen::Vector2d to_m{0.0, 0.0};
  double free_m = 0.0;  ///< of open cells
};

Chord chord_at(const OpenFloor& floor, const Eigen::Vector2d& place_m, const Eigen::Vector2d& along) {
  const double back_m = free_way_m(floor, place_m, -along);
  const double ahead_m = free_way_m(floor, place_m, along);
  // The face stands anywhere in the first cell that is not open: half a cell further in the mean.
  const double half_m = 0.5 * floor.frame.cell_size_m;
  return {place_m - (back_m + half_m) * along, place_m + (ahead_m + half_m) * along, back_m + ahead_m};
}

Eigen::Vector2d direction_of(double angle_rad) { return {std::cos(angle_rad), std::sin(angle_rad)}; }

/// Square to the jambs: the middle of all directions in which the gap is as narrow as its narrowest, to half a cell.
Eigen::Vector2d narrowest_direction(const OpenFloor& floor, const Eigen::Vector2d& place_m) {
  constexpr int kDirections = 180;
  std::vector<double> free_m;
  for (int i = 0; i < kDirections; ++i) {
    free_m.push_back(chord_at(floor, place_m, direction_of(std::numbers::pi * i / kDirections)).free_m);
  }
  const auto narrowest = std::min_element(free_m.begin(), free_m.end());
  // Directions are the same after half a turn, so twice the angle is averaged.
  const double first = 2.0 * std::numbers::pi * static_cast<double>(narrowest - free_m.begin()) / kDirections;
  Eigen::Vector2d sum(0.0, 0.0);
  for (int i = 0; i < kDirections; ++i) {
    const double twice = 2.0 * std::numbers::pi * i / kDirections;
    const bool near = std::cos(twice - first) > 0.0;
    const double more_m = free_m[static_cast<std::size_t>(i)] - *narrowest;
    if (near && more_m <= 0.5 * floor.frame.cell_size_m) sum += direction_of(twice);
  }
  return direction_of(0.5 * std::atan2(sum.y(), sum.x()));
}

/// The narrowest of the chords across a gap within two cells of its middle: the frame, not the wall beside it.
Chord narrowest_chord(const OpenFloor& floor, const Eigen::Vector2d& place_m) {
  const Eigen::Vector2d along = narrowest_direction(floor, place_m);
  const Eigen::Vector2d through(-along.y(), along.x());
  Chord best = chord_at(floor, place_m, along);
  for (int i = -4; i <= 4; ++i) {
    const Eigen::Vector2d beside = place_m + 0.5 * i * floor.frame.cell_size_m * through;
    if (!floor.is_open(beside)) continue;
    const Chord chord = chord_at(floor, beside, along);
    if (chord.free_m < best.free_m) best = chord;
  }
  return best;
}

using RoomPair = std::pair<std::int32_t, std::int32_t>;

/// Of each pair of rooms the cells in which they touch, ascending.
std::map<RoomPair, std::set<std::size_t>> contacts(const OpenFloor& floor, const RoomLabels& labels) {
  std::map<RoomPair, std::set<std::size_t>> cells;
  for (std::size_t cell = 0; cell < labels.of_cell.size(); ++cell) {
    const std::int32_t mine = labels.of_cell[cell];
    if (mine < 0) continue;
    for_each_neighbour(floor.frame, cell, [&](std::size_t near) {
      const std::int32_t other = labels.of_cell[near];
      if (other <= mine || (!labels.is_named(mine) && !labels.is_named(other))) return;
      cells[{mine, other}].insert({cell, near});
    });
  }
  return cells;
}

/// Takes from the cells those that hang together with the lowest one, and returns the widest of them.
std::size_t take_gap(const OpenFloor& floor, std::set<std::size_t>& cells) {
  std::size_t widest = *cells.begin();
  std::deque<std::size_t> queue{widest};
  cells.erase(cells.begin());
  const auto columns = static_cast<std::int64_t>(floor.columns());
  while (!queue.empty()) {
    const std::size_t cell = queue.front();
    queue.pop_front();
    if (floor.clearance[cell] > floor.clearance[widest]) widest = cell;
    for (std::int64_t row = -2; row <= 2; ++row) {
      for (std::int64_t column = -2; column <= 2; ++column) {
        const auto near =
            cells.find(static_cast<std::size_t>(static_cast<std::int64_t>(cell) + row * columns + column));
        if (near == cells.end()) continue;
        queue.push_back(*near);
        cells.erase(near);
      }
    }
  }
  return widest;
}

}  // namespace

std::vector<Doorway> doorways(const OpenFloor& floor, const RoomLabels& labels) {
  constexpr double kNarrowestM = 0.25;  // less lets no robot through: a crack in what was seen of a wall
  std::vector<Doorway> doors;
  for (auto& [rooms, cells] : contacts(floor, labels)) {
    std::set<std::size_t> left = cells;
    while (!left.empty()) {
      const Chord chord = narrowest_chord(floor, floor.middle_m(take_gap(floor, left)));
      const double cell_m = floor.frame.cell_size_m;
      Doorway door{rooms.first,
                   rooms.second,
                   chord.from_m,
                   chord.to_m,
                   (chord.to_m - chord.from_m).norm(),
                   0.0,
                   false,
                   half_open_leaf(floor, chord.from_m, chord.to_m)};
      // Each end lies in a cell, whose probability may be a cell off: a triangular distribution, two cells wide (JCGM
      // 100:2008, 4.3.9).
      door.sd_m = cell_m * std::sqrt(2.0 / 6.0);
      if (door.width_m >= kNarrowestM) doors.push_back(door);
    }
  }
  return doors;
}

}  // namespace wainscot
