#include "apps/export_rooms.hpp"

#include <algorithm>
#include <cstddef>
#include <limits>
#include <optional>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "graph/compare/standing_pieces.hpp"
#include "graph/measure/placed_returns.hpp"
#include "graph/measure/tape.hpp"
#include "graph/measure/wall_lines.hpp"
#include "io/number_text.hpp"
#include "io/rooms/doorway_width.hpp"
#include "io/rooms/marked_cells.hpp"
#include "io/rooms/open_floor.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

OpenFloor floor_of(const OccupancyGrid& grid) try { return open_floor(grid); } catch (const std::invalid_argument&) {
  throw PoorData("the map has no wall, so it has no rooms; leave out --rooms");
}

/// Faces that have gone since are not there to be measured to.
Map standing_map(const Map& map) {
  Map standing = map;
  standing.wall_pieces = standing_pieces(map.wall_pieces, map.grid);
  return standing;
}

double distance_m(const Doorway& door, const Eigen::Vector2d& place) {
  const Eigen::Vector2d way = door.to_m - door.from_m;
  const double at = std::clamp(way.dot(place - door.from_m) / way.squaredNorm(), 0.0, 1.0);
  return (place - door.from_m - at * way).norm();
}

/// The door that is meant. Throws `InputError`.
std::size_t door_near(const RoomPlan& plan, const RoomList& list, const DoorWish& wish) {
  constexpr double kReachM = 1.0;  // as far as a leaf reaches
  std::size_t nearest = 0;
  double least_m = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < plan.doors.size(); ++i) {
    const double away_m = distance_m(plan.doors[i], wish.near.at_m);
    if (away_m < least_m) {
      least_m = away_m;
      nearest = i;
    }
  }
  if (least_m <= kReachM) return nearest;
  const std::string name = printable(wish.name);
  if (plan.doors.empty()) {
    fail_at_point(list.file, wish.near, fmt::format("there is no door for '{}': no two rooms of the list meet", name));
  }
  const Eigen::Vector2d middle = plan.doors[nearest].middle_m();
  fail_at_point(list.file, wish.near,
                fmt::format("no door between rooms is within {} of the point of '{}'; the nearest is {} off, at "
                            "{:.2f},{:.2f}",
                            length_text(kReachM), name, length_text(least_m), middle.x(), middle.y()));
}

void set_door(const Doorway& door, bool open, const std::string& name, RoomExport& result) {
  if (door.leaf) take_leaf_away(result.grid, *door.leaf);
  if (!open) {
    const Eigen::Vector2d from = door.leaf ? door.leaf->hinge_m : door.from_m;
    const Eigen::Vector2d to = door.leaf ? door.leaf->jamb_m : door.to_m;
    close_gap(result.grid, from, to);
  } else if (!door.leaf) {
    result.warnings.push_back(
        fmt::format("in the door '{}' no leaf stands half open, so nothing of it was taken away.", printable(name)));
  }
}

void set_doors(const RoomList& list, RoomExport& result) {
  for (const DoorWish& wish : list.doors) {
    const std::size_t number = door_near(result.plan, list, wish);
    DoorState& state = result.plan.states[number];
    if (state != DoorState::as_mapped) {
      fail_at_point(
          list.file, wish.near,
          fmt::format("the door near '{}' is that of a row before; remove one of the two", printable(wish.name)));
    }
    state = wish.open ? DoorState::open : DoorState::closed;
    set_door(result.plan.doors[number], wish.open, wish.name, result);
  }
}

/// What floor the list left out.
void tell_unnamed(const OpenFloor& floor, RoomExport& result) {
  const RoomLabels& labels = result.plan.labels;
  std::vector<std::size_t> cells(labels.names.size(), 0);
  for (const std::int32_t room : labels.of_cell) {
    if (room >= 0) ++cells[static_cast<std::size_t>(room)];
  }
  std::vector<bool> told(labels.names.size(), false);
  for (std::size_t i = 0; i < result.plan.doors.size(); ++i) {
    const Doorway& door = result.plan.doors[i];
    const auto beyond = static_cast<std::size_t>(door.room_2);
    if (labels.is_named(door.room_2) || told[beyond]) continue;
    told[beyond] = true;
    const double area_m2 = static_cast<double>(cells[beyond]) * floor.frame.cell_size_m * floor.frame.cell_size_m;
    result.warnings.push_back(fmt::format(
        "beyond door {}, at {:.2f},{:.2f}, lie {:.1f} m² of floor without a name: if they belong to {}, give that room "
        "a second point there.",
        i + 1, door.middle_m().x(), door.middle_m().y(), area_m2,
        printable(labels.names[static_cast<std::size_t>(door.room_1)])));
  }
}

}  // namespace

RoomExport export_rooms(const SavedMap& saved, const RoomList& list) {
  const OpenFloor floor = floor_of(saved.map.grid);
  const Map standing = standing_map(saved.map);
  const MeasurableMap measurable(standing, placed_returns(standing, saved.drives));
  RoomExport result{{room_labels(floor, list), {}, {}, {}, list.no_go, saved.origin.simulated}, saved.map.grid, {}};
  RoomPlan& plan = result.plan;
  plan.floors = room_floors(floor, plan.labels, saved.map.grid, wall_lines(standing.wall_pieces),
                            {measurable.scale_sd(), measurable.range_offset_sd_m()});
  plan.doors = doorways(floor, plan.labels);
  measure_doorways(plan.doors, measurable, floor.frame.cell_size_m);
  plan.states.assign(plan.doors.size(), DoorState::as_mapped);
  set_doors(list, result);
  for (const NoGoArea& area : list.no_go) {
    if (close_area(result.grid, corners_of(area.corners)) > 0) continue;
    fail_at_point(list.file, area.corners.front(),
                  fmt::format("the area '{}' lies outside the map", printable(area.name)));
  }
  tell_unnamed(floor, result);
  return result;
}

std::vector<OutputFile> room_tables(const RoomPlan& plan, const std::filesystem::path& folder) {
  std::vector<OutputFile> files;
  if (!plan.floors.empty()) {
    files.push_back({folder / "room_areas.csv", room_areas_csv(plan)});
    files.push_back({folder / "room_outlines.csv", room_outlines_csv(plan)});
    files.push_back({folder / "doors.csv", doors_csv(plan)});
  }
  if (!plan.no_go.empty()) files.push_back({folder / "no_go.csv", no_go_csv(plan)});
  return files;
}

}  // namespace wainscot
