#include "apps/simulator/furnish.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>

#include "apps/simulator/furniture_kinds.hpp"

namespace wainscot::simulator {

namespace {

using enum FurnitureShape;

/// How far a point lies inside the room's wall faces, metres; negative in a wall or outside.
double depth_in_room(const Room& room, Point p) {
  double least = 1e9;
  for (std::size_t i = 0; i < room.outline.size(); ++i) {
    const Point a = room.outline[i];
    const Point along = unit(room.outline[(i + 1) % room.outline.size()] - a);
    least = std::min(least, cross(along, p - a) - room.wall_m[i] / 2.0);
  }
  return least;
}

double distance_to(const Polygon& polygon, Point p) {
  if (contains(polygon, p)) return 0.0;
  double least = 1e9;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    least = std::min(least, distance_m(p, polygon[i], polygon[(i + 1) % polygon.size()]));
  }
  return least;
}

/// One room while it is being furnished.
class RoomFurnisher {
 public:
  RoomFurnisher(const Layout& layout, int room, double robot_radius_m, Random& random)
      : room_(layout.rooms[static_cast<std::size_t>(room)]), reach_m_(robot_radius_m + 0.1), random_(random) {
    for (const Doorway& door : layout.doorways) {
      if (door.room_a != room && door.room_b != room) continue;
      Point in = left_of(door.along);
      if (dot(in, centroid(room_.outline) - door.centre) < 0.0) in = -1.0 * in;
      const double face = door.thickness_m / 2.0;
      approaches_.push_back(door.centre + (face + reach_m_ + 0.08) * in);
      // The way in, and the floor that the leaf sweeps.
      const double deep = std::max(door.width_m, 0.75);
      kept_free_.push_back(
          rectangle(door.centre + (face + deep / 2.0) * in, door.width_m + 0.1, deep, angle_of(door.along)));
      kept_free_.push_back(
          rectangle(door.centre + (face + 0.45) * in, 2.1 * std::min(door.width_m, 1.0), 0.9, angle_of(door.along)));
    }
  }

  void furnish(double fullness, std::vector<Furniture>& all) {
    for (const FurnitureKind& kind : kinds_for(room_.kind)) {
      if (!random_.chance(kind.chance * (0.35 + 0.65 * fullness))) continue;
      for (int attempt = 0; attempt < 40; ++attempt) {
        const std::optional<Furniture> item = kind.place == FurniturePlace::wall ? at_wall(kind) : in_middle(kind);
        if (!item || !fits(*item, 0.02)) continue;
        add(*item);
        if (!passable()) {
          drop_last();
          continue;
        }
        if (kind.chairs > 0) add_chairs(*item, kind.chairs);
        break;
      }
    }
    all.insert(all.end(), items_.begin(), items_.end());
  }

 private:
  std::optional<Furniture> at_wall(const FurnitureKind& kind) {
    const auto edge = static_cast<std::size_t>(random_.below(static_cast<int>(room_.outline.size())));
    const Point a = room_.outline[edge];
    const Point b = room_.outline[(edge + 1) % room_.outline.size()];
    Furniture item = sized(kind);
    const double length = norm(b - a);
    const double half = item.length_m / 2.0;
    if (length < item.length_m + 0.4) return std::nullopt;
    const Point along = unit(b - a);
    double place = random_.uniform(half + 0.1, length - half - 0.1);
    if (random_.chance(0.35)) place = half + 0.02 + room_.wall_m[edge == 0 ? room_.wall_m.size() - 1 : edge - 1] / 2.0;
    const double gap = random_.chance(0.5) ? 0.005 : random_.uniform(0.01, 0.06);
    item.centre = a + place * along + (room_.wall_m[edge] / 2.0 + gap + item.width_m / 2.0) * left_of(along);
    item.heading_deg = std::round(angle_of(along) / kDegree_rad * 10.0) / 10.0;
    return item;
  }

  std::optional<Furniture> in_middle(const FurnitureKind& kind) {
    Furniture item = sized(kind);
    Point sum;
    double weights = 0.0;
    for (const Point corner : room_.outline) {
      const double weight = random_.uniform(0.2, 1.0);
      sum = sum + weight * corner;
      weights += weight;
    }
    item.centre = (1.0 / weights) * sum;
    const Point along = room_.outline[1] - room_.outline[0];
    const double quarter = random_.chance(0.5) ? 90.0 : 0.0;
    const double askew = random_.chance(0.3) ? random_.uniform(-20.0, 20.0) : 0.0;
    item.heading_deg = std::round(angle_of(along) / kDegree_rad + quarter + askew);
    return item;
  }

  Furniture sized(const FurnitureKind& kind) {
    const auto whole_cm = [](double m) { return std::round(m * 100.0) / 100.0; };
    Furniture item;
    item.name = kind.name;
    item.shape = kind.shape;
    item.length_m = whole_cm(random_.uniform(kind.length_from_m, kind.length_to_m));
    item.width_m = kind.shape == round ? item.length_m : whole_cm(random_.uniform(kind.width_from_m, kind.width_to_m));
    item.leg_m = random_.chance(0.5) ? 0.04 : 0.06;
    return item;
  }

  // Chairs on the long sides, pushed halfway under the table.
  void add_chairs(const Furniture& table, int most) {
    const double heading = table.heading_deg * kDegree_rad;
    for (int i = 0; i < most; ++i) {
      if (most > 1 && random_.chance(0.2)) continue;
      const double side = i % 2 == 0 ? 1.0 : -1.0;
      const double places = std::max(1.0, std::floor(table.length_m / 0.6));
      const int place = i / 2;
      if (place >= static_cast<int>(places)) return;
      const double along = (place + 0.5 - places / 2.0) * 0.6 + random_.uniform(-0.04, 0.04);
      const double out = table.width_m / 2.0 + random_.uniform(0.0, 0.22);
      Furniture chair;
      chair.name = "chair";
      chair.shape = legs;
      chair.length_m = chair.width_m = 0.42;
      chair.leg_m = 0.03;
      chair.centre = table.centre + along * direction(heading) + (side * out) * left_of(direction(heading));
      chair.heading_deg = table.heading_deg + std::round(random_.uniform(-12.0, 12.0));
      // A chair may stand under its table, but not in anything else.
      if (!fits_except(chair, footprint(table))) continue;
      add(chair);
      if (!passable()) drop_last();
    }
  }

  bool inside(const Polygon& outline) const {
    return std::all_of(outline.begin(), outline.end(), [this](Point p) { return depth_in_room(room_, p) > 0.0; });
  }

  bool clear_of_doors(const Polygon& outline) const {
    return std::all_of(kept_free_.begin(), kept_free_.end(),
                       [&](const Polygon& kept) { return distance_m(outline, kept) > 0.0; });
  }

  bool fits(const Furniture& item, double gap_m) const {
    const Polygon outline = footprint(item);
    return inside(outline) && clear_of_doors(outline) &&
           std::all_of(outlines_.begin(), outlines_.end(),
                       [&](const Polygon& other) { return distance_m(outline, other) > gap_m; });
  }

  bool fits_except(const Furniture& item, const Polygon& table) const {
    const Polygon outline = footprint(item);
    return inside(outline) && clear_of_doors(outline) &&
           std::all_of(outlines_.begin(), outlines_.end(), [&](const Polygon& other) {
             return norm(other[0] - table[0]) < 1e-9 || distance_m(outline, other) > 0.02;
           });
  }

  void add(const Furniture& item) {
    items_.push_back(item);
    outlines_.push_back(footprint(item));
  }
  void drop_last() {
    items_.pop_back();
    outlines_.pop_back();
  }

  // Whether the robot gets from the first doorway to all others and around a fair part of the room.
  bool passable() const {
    if (approaches_.empty()) return true;
    constexpr double kCell_m = 0.08;
    Point least = room_.outline[0];
    Point greatest = least;
    for (const Point p : room_.outline) {
      least = {std::min(least.x_m, p.x_m), std::min(least.y_m, p.y_m)};
      greatest = {std::max(greatest.x_m, p.x_m), std::max(greatest.y_m, p.y_m)};
    }
    const int columns = static_cast<int>((greatest.x_m - least.x_m) / kCell_m) + 1;
    const int rows = static_cast<int>((greatest.y_m - least.y_m) / kCell_m) + 1;
    std::vector<char> state(static_cast<std::size_t>(columns * rows), 0);  // 1: free, 2: reached
    for (int i = 0; i < columns * rows; ++i) {
      const int row = i / columns;
      const Point p = least + Point{(i % columns + 0.5) * kCell_m, (row + 0.5) * kCell_m};
      const bool open = depth_in_room(room_, p) > reach_m_ &&
                        std::all_of(outlines_.begin(), outlines_.end(),
                                    [&](const Polygon& o) { return distance_to(o, p) > reach_m_; });
      state[static_cast<std::size_t>(i)] = open ? 1 : 0;
    }
    const auto cell = [&](Point p) {
      const int column = std::clamp(static_cast<int>((p.x_m - least.x_m) / kCell_m), 0, columns - 1);
      const int row = std::clamp(static_cast<int>((p.y_m - least.y_m) / kCell_m), 0, rows - 1);
      return row * columns + column;
    };
    return reaches_all(state, columns, rows, cell);
  }

  template <typename Cell>
  bool reaches_all(std::vector<char>& state, int columns, int rows, const Cell& cell) const {
    std::vector<int> open = {cell(approaches_[0])};
    int reached = 0;
    while (!open.empty()) {
      const int i = open.back();
      open.pop_back();
      if (state[static_cast<std::size_t>(i)] != 1) continue;
      state[static_cast<std::size_t>(i)] = 2;
      ++reached;
      const int column = i % columns;
      if (column > 0) open.push_back(i - 1);
      if (column + 1 < columns) open.push_back(i + 1);
      if (i >= columns) open.push_back(i - columns);
      if (i / columns + 1 < rows) open.push_back(i + columns);
    }
    const bool all = std::all_of(approaches_.begin(), approaches_.end(),
                                 [&](Point p) { return state[static_cast<std::size_t>(cell(p))] == 2; });
    return all && reached > static_cast<int>(0.12 * static_cast<double>(state.size()));
  }

  const Room& room_;
  double reach_m_;
  Random& random_;
  std::vector<Point> approaches_;
  std::vector<Polygon> kept_free_;
  std::vector<Furniture> items_;
  std::vector<Polygon> outlines_;
};

}  // namespace

Polygon footprint(const Furniture& item) {
  if (item.shape != round) {
    return rectangle(item.centre, item.length_m, item.width_m, item.heading_deg * kDegree_rad);
  }
  Polygon outline;
  for (int i = 0; i < 12; ++i) outline.push_back(item.centre + (item.length_m / 2.0) * direction(2.0 * kPi * i / 12));
  return outline;
}

std::vector<Furniture> furnish(const Layout& layout, double robot_radius_m, double fullness, Random& random) {
  std::vector<Furniture> all;
  for (std::size_t i = 0; i < layout.rooms.size(); ++i) {
    if (layout.rooms[i].kind == RoomKind::hall && random.chance(0.4)) continue;
    RoomFurnisher(layout, static_cast<int>(i), robot_radius_m, random).furnish(fullness, all);
  }
  return all;
}

bool stands_clear(const Plan& plan, const std::vector<Surface>& walls, std::size_t index, const Polygon& outline) {
  constexpr double kApart_m = 0.03;
  for (const Surface& s : walls) {
    if (distance_m(outline, Polygon{s.from, s.to}) < kApart_m) return false;
  }
  for (std::size_t i = 0; i < plan.furniture.size(); ++i) {
    const Furniture& other = plan.furniture[i];
    if (i == index) continue;
    if (distance_m(outline, footprint(other)) < kApart_m) return false;
    for (const FurnitureMove& move : other.moves) {
      Furniture there = other;
      there.centre = move.centre;
      there.heading_deg = move.heading_deg;
      if (distance_m(outline, footprint(there)) < kApart_m) return false;
    }
  }
  return true;
}

}  // namespace wainscot::simulator
