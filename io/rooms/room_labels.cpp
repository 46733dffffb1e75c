#include "io/rooms/room_labels.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

#include <fmt/format.h>

#include "io/rooms/floor_basins.hpp"
#include "io/rooms/marked_cells.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::int32_t kNobody = -1;

std::size_t at(std::int32_t number) { return static_cast<std::size_t>(number); }

std::string quoted(const ListedRoom& room) { return "'" + printable(room.name) + "'"; }

void label_corners(const OpenFloor& floor, const RoomList& list, RoomLabels& labels) {
  for (std::size_t i = 0; i < list.rooms.size(); ++i) {
    const ListedRoom& room = list.rooms[i];
    if (!room.has_corners) continue;
    bool any = false;
    for (const std::size_t cell : cells_within(floor.frame, corners_of(room.points))) {
      if (!floor.open[cell]) continue;
      std::int32_t& label = labels.of_cell[cell];
      if (label != kNobody) {
        fail_at_point(list.file, room.points.front(),
                      fmt::format("the border of {} holds floor of {} too; let the two borders meet", quoted(room),
                                  quoted(list.rooms[at(label)])));
      }
      label = static_cast<std::int32_t>(i);
      any = true;
    }
    if (!any) {
      fail_at_point(list.file, room.points.front(),
                    fmt::format("the border of {} holds no floor that the map has free; look at the map's picture",
                                quoted(room)));
    }
  }
}

/// Up to the widest place: again and again to the widest one within the largest free circle, which no wall crosses.
std::size_t widest_near(const OpenFloor& floor, const FloorBasins& basins, std::size_t cell) {
  for (;;) {
    std::size_t widest = cell;
    const float reach = floor.clearance[cell] - 0.5F;
    const Eigen::Vector2d middle = floor.middle_m(cell);
    for_each_near(floor.frame, cell, static_cast<std::size_t>(std::max(0.0F, reach)), [&](std::size_t other) {
      const double away = (floor.middle_m(other) - middle).norm() / floor.frame.cell_size_m;
      if (away > static_cast<double>(reach) || basins.of_cell[other] == kNobody) return;
      if (floor.clearance[other] > floor.clearance[widest]) widest = other;
    });
    if (widest == cell) return cell;
    cell = widest;
  }
}

/// Joins basins to rooms, over the widest passes first. A group has at most one room.
class Joining {
 public:
  Joining(const OpenFloor& floor, const FloorBasins& basins)
      : floor_(floor), basins_(basins), parent_(at(basins.count)), room_(at(basins.count), kNobody) {
    std::iota(parent_.begin(), parent_.end(), 0);
  }

  std::int32_t group_of(std::int32_t basin) {
    while (parent_[at(basin)] != basin) {
      parent_[at(basin)] = parent_[at(parent_[at(basin)])];
      basin = parent_[at(basin)];
    }
    return basin;
  }

  std::int32_t room_of(std::int32_t basin) { return room_[at(group_of(basin))]; }
  void name(std::int32_t basin, std::int32_t room) { room_[at(group_of(basin))] = room; }

  /// Numbers from `named` on are floor without a name.
  void join(std::int32_t named) {
    std::int32_t next = named;
    for (const FloorPass& pass : basins_.passes) {
      const std::int32_t a = group_of(pass.a);
      const std::int32_t b = group_of(pass.b);
      if (a == b || are_apart(room_[at(a)], room_[at(b)])) continue;
      const bool apart = (is_other(room_[at(a)], named) || is_other(room_[at(b)], named)) && is_door(pass, a, b);
      if (!apart) {
        merge(a, b);
        continue;
      }
      if (room_[at(a)] == kNobody) room_[at(a)] = next++;
      if (room_[at(b)] == kNobody) room_[at(b)] = next++;
    }
    for (std::int32_t basin = 0; basin < basins_.count; ++basin) {
      if (room_of(basin) == kNobody) name(basin, next++);
    }
    absorb_small(named);
  }

 private:
  static bool are_apart(std::int32_t a, std::int32_t b) { return a != kNobody && b != kNobody && a != b; }
  static bool is_other(std::int32_t room, std::int32_t named) { return room == kNobody || room >= named; }

  void merge(std::int32_t a, std::int32_t b) {
    if (room_[at(a)] == kNobody) std::swap(a, b);
    parent_[at(b)] = a;
  }

  /// Not wider than a door, short, and narrow beside what it joins. On both sides the floor widens within the
  /// thickness of a wall, where the way between two pieces of furniture is longer, and within a metre by a quarter,
  /// where what lies beyond furniture is mostly no wider than the way to it.
  bool is_door(const FloorPass& pass, std::int32_t a, std::int32_t b) {
    constexpr double kShortM = 0.45;  // half of a thick wall, and as far again for the circle to leave the frame
    constexpr double kNearM = 1.0;
    constexpr float kWider = 1.25F;
    if (2.0 * static_cast<double>(pass.clearance) * floor_.frame.cell_size_m > widest_door_m) return false;
    return widens(pass, a, kShortM, pass.clearance + 1.0F) && widens(pass, b, kShortM, pass.clearance + 1.0F) &&
           widens(pass, a, kNearM, kWider * pass.clearance) && widens(pass, b, kNearM, kWider * pass.clearance);
  }

  /// Whether a group has a cell of that clearance within reach of a pass.
  bool widens(const FloorPass& pass, std::int32_t group, double reach_m, float clearance) {
    const auto reach = static_cast<std::size_t>(std::lround(reach_m / floor_.frame.cell_size_m));
    bool is_wider = false;
    for_each_near(floor_.frame, pass.cell, reach, [&](std::size_t cell) {
      if (is_wider || basins_.of_cell[cell] == kNobody || floor_.clearance[cell] < clearance) return;
      is_wider = group_of(basins_.of_cell[cell]) == group;
    });
    return is_wider;
  }

  /// Floor without a name that is too small for a room goes to the neighbour that it is widest open to.
  void absorb_small(std::int32_t named) {
    constexpr double kLeastRoomM2 = 1.0;  // the smallest lavatories have that much; common practice, no source
    std::vector<double> area_m2(at(basins_.count), 0.0);
    for (const std::int32_t basin : basins_.of_cell) {
      if (basin != kNobody) area_m2[at(group_of(basin))] += floor_.frame.cell_size_m * floor_.frame.cell_size_m;
    }
    const auto is_small = [&](std::int32_t group) {
      return room_[at(group)] >= named && area_m2[at(group)] < kLeastRoomM2;
    };
    for (const FloorPass& pass : basins_.passes) {
      std::int32_t a = group_of(pass.a);
      std::int32_t b = group_of(pass.b);
      if (a == b || (!is_small(a) && !is_small(b))) continue;
      if (is_small(a)) std::swap(a, b);
      parent_[at(b)] = a;
      area_m2[at(a)] += area_m2[at(b)];
    }
  }

  const OpenFloor& floor_;
  const FloorBasins& basins_;
  std::vector<std::int32_t> parent_;
  std::vector<std::int32_t> room_;
};

/// The basin that a point means.
std::int32_t basin_of(const OpenFloor& floor, const FloorBasins& basins, const RoomList& list, const RoomLabels& labels,
                      const ListedRoom& room, const ListedPoint& point) {
  const std::optional<std::size_t> cell = floor.cell_at(point.at_m);
  if (!cell) fail_at_point(list.file, point, fmt::format("the point of {} lies outside the map", quoted(room)));
  if (!floor.open[*cell]) {
    fail_at_point(list.file, point,
                  fmt::format("the point of {} lies in a wall, or where nothing was seen; move it to the middle of the "
                              "room's free floor",
                              quoted(room)));
  }
  const std::int32_t other = labels.of_cell[*cell];
  if (other != kNobody) {
    fail_at_point(list.file, point,
                  fmt::format("the point of {} lies within the border of {}; remove one of the two", quoted(room),
                              quoted(list.rooms[at(other)])));
  }
  return basins.of_cell[widest_near(floor, basins, *cell)];
}

void name_basins(const OpenFloor& floor, const FloorBasins& basins, const RoomList& list, const RoomLabels& labels,
                 Joining& joining) {
  for (std::size_t i = 0; i < list.rooms.size(); ++i) {
    const ListedRoom& room = list.rooms[i];
    if (room.has_corners) continue;
    for (const ListedPoint& point : room.points) {
      const std::int32_t basin = basin_of(floor, basins, list, labels, room, point);
      const std::int32_t other = joining.room_of(basin);
      if (other != kNobody && other != static_cast<std::int32_t>(i)) {
        fail_at_point(
            list.file, point,
            fmt::format("the point of {} lies in the room of {} (line {}): no narrow place parts them; move "
                        "the point, or give the rooms their corners",
                        quoted(room), quoted(list.rooms[at(other)]), list.rooms[at(other)].points.front().line));
      }
      joining.name(basin, static_cast<std::int32_t>(i));
    }
  }
}

/// Throws where points of one room ended in parts that other rooms lie between.
void require_whole_rooms(const OpenFloor& floor, const FloorBasins& basins, const RoomList& list,
                         const RoomLabels& labels, Joining& joining) {
  for (const ListedRoom& room : list.rooms) {
    if (room.has_corners) continue;
    const std::int32_t first = joining.group_of(basin_of(floor, basins, list, labels, room, room.points.front()));
    for (const ListedPoint& point : room.points) {
      if (joining.group_of(basin_of(floor, basins, list, labels, room, point)) == first) continue;
      fail_at_point(list.file, point,
                    fmt::format("another room lies between this point of {} and the one of line {}; give the two rooms "
                                "names of their own",
                                quoted(room), room.points.front().line));
    }
  }
}

}  // namespace

RoomLabels room_labels(const OpenFloor& floor, const RoomList& list) {
  RoomLabels labels;
  labels.of_cell.assign(floor.open.size(), kNobody);
  labels.named = list.rooms.size();
  for (const ListedRoom& room : list.rooms) labels.names.push_back(room.name);
  label_corners(floor, list, labels);
  std::vector<bool> taken(floor.open.size());
  std::transform(labels.of_cell.begin(), labels.of_cell.end(), taken.begin(),
                 [](std::int32_t room) { return room != kNobody; });
  const FloorBasins basins = floor_basins(floor, taken);
  Joining joining(floor, basins);
  name_basins(floor, basins, list, labels, joining);
  joining.join(static_cast<std::int32_t>(labels.named));
  require_whole_rooms(floor, basins, list, labels, joining);
  std::map<std::int32_t, std::int32_t> unnamed;  // numbers without gaps
  for (std::size_t cell = 0; cell < basins.of_cell.size(); ++cell) {
    if (basins.of_cell[cell] == kNobody) continue;
    std::int32_t room = joining.room_of(basins.of_cell[cell]);
    if (!labels.is_named(room)) {
      const auto next = static_cast<std::int32_t>(labels.names.size());
      const auto [found, is_new] = unnamed.emplace(room, next);
      if (is_new) labels.names.emplace_back();
      room = found->second;
    }
    labels.of_cell[cell] = room;
  }
  return labels;
}

}  // namespace wainscot
