#include "tests/bench/true_rooms.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

namespace wainscot::bench {
namespace {

using simulator::Point;

constexpr double kCellM = 0.008;
constexpr double kOffM = 0.0031;  // plans are in whole centimetres: no face lies along the cells' middles
constexpr std::int32_t kFree = -1;
constexpr std::int32_t kSolid = -2;

/// The floor in cells far finer than a map's.
class FineFloor {
 public:
  explicit FineFloor(const simulator::Plan& plan) {
    Point high{-1e9, -1e9};
    low_ = {1e9, 1e9};
    for (const simulator::Wall& wall : plan.walls) {
      for (const Point p : {wall.from, wall.to}) {
        low_ = {std::min(low_.x_m, p.x_m), std::min(low_.y_m, p.y_m)};
        high = {std::max(high.x_m, p.x_m), std::max(high.y_m, p.y_m)};
      }
    }
    low_ = low_ - Point{0.5 + kOffM, 0.5 + kOffM};
    columns_ = static_cast<std::size_t>((high.x_m + 0.5 - low_.x_m) / kCellM) + 1;
    rows_ = static_cast<std::size_t>((high.y_m + 0.5 - low_.y_m) / kCellM) + 1;
    room_.assign(columns_ * rows_, kFree);
    side_.assign(columns_ * rows_, 0);
    for (const simulator::Wall& wall : plan.walls) add_wall(wall);
    for (const simulator::Furniture& item : plan.furniture) add_furniture(item);
  }

  std::size_t size() const { return room_.size(); }
  std::int32_t& room(std::size_t cell) { return room_[cell]; }
  Point middle(std::size_t cell) const {
    return low_ + Point{(static_cast<double>(cell % columns_) + 0.5) * kCellM,
                        (static_cast<double>(cell / columns_) + 0.5) * kCellM};
  }
  std::size_t cell_at(Point p) const {
    return static_cast<std::size_t>((p.y_m - low_.y_m) / kCellM) * columns_ +
           static_cast<std::size_t>((p.x_m - low_.x_m) / kCellM);
  }

  /// Gives the floor that hangs together with the cell a number. Returns the cells, nearest first.
  std::vector<std::size_t> flood(std::size_t first, std::int32_t number) {
    std::vector<std::size_t> cells{first};
    room_[first] = number;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const std::size_t cell = cells[i];
      for (const std::size_t near : {cell - columns_, cell - 1, cell + 1, cell + columns_}) {
        const bool to_other_side = near < room_.size() && side_[cell] * side_[near] < 0;
        if (near >= room_.size() || room_[near] != kFree || to_other_side) continue;
        room_[near] = number;
        cells.push_back(near);
      }
    }
    return cells;
  }

 private:
  template <typename Use>
  void for_each_in(const simulator::Polygon& outline, const Use& use) {
    Point least = outline[0];
    Point greatest = outline[0];
    for (const Point p : outline) {
      least = {std::min(least.x_m, p.x_m), std::min(least.y_m, p.y_m)};
      greatest = {std::max(greatest.x_m, p.x_m), std::max(greatest.y_m, p.y_m)};
    }
    for (double y = std::max(least.y_m, low_.y_m); y <= greatest.y_m + kCellM; y += kCellM) {
      for (double x = std::max(least.x_m, low_.x_m); x <= greatest.x_m + kCellM; x += kCellM) {
        const std::size_t cell = cell_at({x, y});
        if (cell < room_.size() && contains(outline, middle(cell))) use(cell);
      }
    }
  }

  void add_wall(const simulator::Wall& wall) {
    const Point along = unit(wall.to - wall.from);
    const Point centre = 0.5 * (wall.from + wall.to);
    const auto heading = angle_of(along);
    for_each_in(simulator::rectangle(centre, norm(wall.to - wall.from), wall.thickness_m, heading),
                [&](std::size_t cell) {
                  const double at = dot(middle(cell) - wall.from, along);
                  const bool in_opening =
                      std::any_of(wall.openings.begin(), wall.openings.end(), [&](const simulator::Opening& opening) {
                        const bool shut = opening.glass || (opening.leaf && opening.leaf->open_deg == 0.0);
                        return !shut && std::abs(at - opening.at_m) < 0.5 * opening.width_m;
                      });
                  if (!in_opening) {
                    room_[cell] = kSolid;
                  } else {
                    side_[cell] = cross(along, middle(cell) - wall.from) > 0.0 ? 1 : -1;
                  }
                });
  }

  void add_furniture(const simulator::Furniture& item) {
    if (item.shape == simulator::FurnitureShape::legs) return;
    const bool round = item.shape == simulator::FurnitureShape::round;
    const double width = round ? item.length_m : item.width_m;
    for_each_in(simulator::rectangle(item.centre, item.length_m, width, item.heading_deg * simulator::kDegree_rad),
                [&](std::size_t cell) {
                  if (!round || norm(middle(cell) - item.centre) < 0.5 * item.length_m) room_[cell] = kSolid;
                });
  }

  Point low_{};
  std::size_t columns_ = 0;
  std::size_t rows_ = 0;
  std::vector<std::int32_t> room_;
  std::vector<std::int8_t> side_;  ///< of a wall's middle, in its openings; the two sides of one belong to two rooms
};

/// The place of a room that is farthest from all faces, to a few centimetres.
Point widest_of(const FineFloor& floor, const std::vector<std::size_t>& cells, const simulator::Surfaces& surfaces) {
  constexpr std::size_t kTried = 400;
  Point best = floor.middle(cells.front());
  double widest_m = 0.0;
  const std::size_t step = cells.size() / kTried + 1;
  for (std::size_t i = 0; i < cells.size(); i += step) {
    const Point place = floor.middle(cells[i]);
    const double clear_m = simulator::clearance_m(surfaces, place);
    if (clear_m > widest_m) {
      widest_m = clear_m;
      best = place;
    }
  }
  return best;
}

}  // namespace

TrueRooms true_rooms(const simulator::Plan& plan, const simulator::Surfaces& surfaces) {
  constexpr double kLeastM2 = 1.0;
  FineFloor floor(plan);
  floor.flood(0, kSolid);  // the garden
  TrueRooms result;
  result.cell_m2 = kCellM * kCellM;
  for (std::size_t cell = 0; cell < floor.size(); ++cell) {
    if (floor.room(cell) != kFree) continue;
    const auto number = static_cast<std::int32_t>(result.rooms.size());
    const std::vector<std::size_t> cells = floor.flood(cell, number);
    const double area_m2 = static_cast<double>(cells.size()) * kCellM * kCellM;
    if (area_m2 >= kLeastM2) {
      std::vector<Point> middles;
      middles.reserve(cells.size());
      for (const std::size_t inside : cells) middles.push_back(floor.middle(inside));
      result.rooms.push_back({std::move(middles), area_m2, widest_of(floor, cells, surfaces)});
    } else {
      for (const std::size_t niche : cells) floor.room(niche) = kSolid;
    }
  }
  for (const simulator::Surface& face : surfaces.flat) {
    if (face.kind != simulator::SurfaceKind::door) continue;
    // Half of an open leaf of 4 cm to each of its sides.
    const Point before = 0.5 * (face.from + face.to) + 0.02 * unit(simulator::left_of(face.to - face.from));
    const std::int32_t room = floor.room(floor.cell_at(before));
    if (room >= 0) result.rooms[static_cast<std::size_t>(room)].area_m2 -= 0.02 * norm(face.to - face.from);
  }
  for (const simulator::Wall& wall : plan.walls) {
    const Point along = unit(wall.to - wall.from);
    for (const simulator::Opening& opening : wall.openings) {
      const Point middle = wall.from + opening.at_m * along;
      const Point aside = (0.25 * wall.thickness_m) * simulator::left_of(along);
      const std::int32_t left = floor.room(floor.cell_at(middle + aside));
      const std::int32_t right = floor.room(floor.cell_at(middle - aside));
      if (left < 0 || right < 0 || left == right) continue;
      result.doors.push_back({static_cast<std::size_t>(std::min(left, right)),
                              static_cast<std::size_t>(std::max(left, right)), middle, opening.width_m});
    }
  }
  return result;
}

}  // namespace wainscot::bench
