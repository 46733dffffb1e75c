#include "io/rooms/room_plan.hpp"

#include <cstddef>
#include <iterator>
#include <numbers>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/map_origin.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

std::string decimal(double value) { return short_text(value, 4); }

std::string head(const RoomPlan& plan, const char* columns) {
  return fmt::format("# {}{}\n{}\n", plan.simulated ? "Simulated. " : "", map_caution, columns);
}

const std::string& name_of(const RoomPlan& plan, std::int32_t room) {
  return plan.labels.names[static_cast<std::size_t>(room)];
}

const char* state_text(DoorState state) {
  if (state == DoorState::as_mapped) return "as mapped";
  return state == DoorState::open ? "open" : "closed";
}

std::string leaf_degrees(const Doorway& door) {
  return door.leaf ? short_text(180.0 / std::numbers::pi * door.leaf->open_rad(), 0) : "";
}

/// Digits that stay the same on every machine.
nlohmann::json json_number(double value) { return rounded(value, 4); }

nlohmann::json json_corners(const std::vector<Eigen::Vector2d>& corners) {
  nlohmann::json list = nlohmann::json::array();
  for (const Eigen::Vector2d& corner : corners) list.push_back({json_number(corner.x()), json_number(corner.y())});
  return list;
}

std::string uncertain(double value, double sd) {
  const UncertainText text = uncertain_text(value, sd);
  return fmt::format("{} ± {}", text.value, text.sd);
}

std::string room_in_words(const RoomPlan& plan, std::size_t room) {
  const RoomFloor& floor = plan.floors[room];
  std::string text =
      fmt::format("{}: {} m² of free floor", printable(plan.labels.names[room]), uncertain(floor.area_m2, floor.sd_m2));
  if (floor.unseen_m > 0.05 * floor.border_m) {
    text += fmt::format("; of its border of {} {} end where nothing was seen, so it may be larger",
                        length_text(floor.border_m), length_text(floor.unseen_m));
  }
  return text + "\n";
}

std::string door_in_words(const RoomPlan& plan, std::size_t number) {
  const Doorway& door = plan.doors[number];
  const auto room = [&](std::int32_t label) {
    return plan.labels.is_named(label) ? printable(name_of(plan, label)) : std::string("floor without a name");
  };
  const Eigen::Vector2d middle = door.middle_m();
  std::string text = fmt::format("Door {}, {} to {}: {} m clear, at {:.2f},{:.2f}, from {}", number + 1,
                                 room(door.room_1), room(door.room_2), uncertain(door.width_m, door.sd_m), middle.x(),
                                 middle.y(), door.by_faces ? "the faces of its jambs" : "the cells");
  if (door.leaf) text += fmt::format("; a leaf stands {}° open in it", leaf_degrees(door));
  if (plan.states[number] != DoorState::as_mapped) {
    text += fmt::format("; handed on {}", state_text(plan.states[number]));
  }
  return text + "\n";
}

}  // namespace

std::string room_areas_csv(const RoomPlan& plan) {
  std::string text = head(plan,
                          "number,room,area_m2,standard_uncertainty_m2,border_m,border_by_faces_m,border_unseen_m,"
                          "border_to_rooms_m");
  for (std::size_t i = 0; i < plan.floors.size(); ++i) {
    const RoomFloor& floor = plan.floors[i];
    fmt::format_to(std::back_inserter(text), "{},{},{},{},{},{},{},{}\n", i + 1, plan.labels.names[i],
                   decimal(floor.area_m2), decimal(floor.sd_m2), decimal(floor.border_m), decimal(floor.by_faces_m),
                   decimal(floor.unseen_m), decimal(floor.to_rooms_m));
  }
  return text;
}

std::string room_outlines_csv(const RoomPlan& plan) {
  std::string text = head(plan, "corner,room,x_m,y_m");
  for (std::size_t i = 0; i < plan.floors.size(); ++i) {
    std::size_t number = 0;
    for (const Eigen::Vector2d& corner : plan.floors[i].outline) {
      fmt::format_to(std::back_inserter(text), "{},{},{},{}\n", ++number, plan.labels.names[i], decimal(corner.x()),
                     decimal(corner.y()));
    }
  }
  return text;
}

std::string doors_csv(const RoomPlan& plan) {
  std::string text = head(plan,
                          "door,room_1,room_2,x1_m,y1_m,x2_m,y2_m,width_m,standard_uncertainty_m,measured_by,"
                          "leaf_open_deg,handed_on");
  for (std::size_t i = 0; i < plan.doors.size(); ++i) {
    const Doorway& door = plan.doors[i];
    fmt::format_to(std::back_inserter(text), "{},{},{},{},{},{},{},{},{},{},{},{}\n", i + 1, name_of(plan, door.room_1),
                   name_of(plan, door.room_2), decimal(door.from_m.x()), decimal(door.from_m.y()),
                   decimal(door.to_m.x()), decimal(door.to_m.y()), decimal(door.width_m), decimal(door.sd_m),
                   door.by_faces ? "faces" : "cells", leaf_degrees(door), state_text(plan.states[i]));
  }
  return text;
}

std::string no_go_csv(const RoomPlan& plan) {
  std::string text = head(plan, "corner,area,x_m,y_m");
  for (const NoGoArea& area : plan.no_go) {
    std::size_t number = 0;
    for (const ListedPoint& corner : area.corners) {
      fmt::format_to(std::back_inserter(text), "{},{},{},{}\n", ++number, area.name, decimal(corner.at_m.x()),
                     decimal(corner.at_m.y()));
    }
  }
  return text;
}

std::vector<Placeholder> room_placeholders(const RoomPlan& plan) {
  using nlohmann::json;
  json rooms = json::array();
  for (std::size_t i = 0; i < plan.floors.size(); ++i) {
    rooms.push_back({{"name", plan.labels.names[i]},
                     {"area_m2", json_number(plan.floors[i].area_m2)},
                     {"standard_uncertainty_m2", json_number(plan.floors[i].sd_m2)},
                     {"corners_m", json_corners(plan.floors[i].outline)}});
  }
  json doors = json::array();
  for (std::size_t i = 0; i < plan.doors.size(); ++i) {
    const Doorway& door = plan.doors[i];
    doors.push_back({{"rooms", {name_of(plan, door.room_1), name_of(plan, door.room_2)}},
                     {"jambs_m", json_corners({door.from_m, door.to_m})},
                     {"width_m", json_number(door.width_m)},
                     {"standard_uncertainty_m", json_number(door.sd_m)},
                     {"handed_on", state_text(plan.states[i])}});
  }
  json areas = json::array();
  for (const NoGoArea& area : plan.no_go) {
    areas.push_back({{"name", area.name}, {"corners_m", json_corners(corners_of(area.corners))}});
  }
  return {{"rooms", rooms.dump()}, {"doors", doors.dump()}, {"no_go_areas", areas.dump()}};
}

std::string room_words(const RoomPlan& plan) {
  std::string text;
  for (std::size_t i = 0; i < plan.floors.size(); ++i) text += room_in_words(plan, i);
  for (std::size_t i = 0; i < plan.doors.size(); ++i) text += door_in_words(plan, i);
  for (const NoGoArea& area : plan.no_go) {
    text += fmt::format("No robot shall go into {}: handed on as wall\n", printable(area.name));
  }
  return text;
}

}  // namespace wainscot
