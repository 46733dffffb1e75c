#pragma once

// All that is found of a map's rooms, as tables, as lists for templates and in words.

#include <string>
#include <vector>

#include "io/files/text_template.hpp"
#include "io/rooms/doorways.hpp"
#include "io/rooms/room_floors.hpp"
#include "io/rooms/room_labels.hpp"
#include "io/rooms/room_list.hpp"

namespace wainscot {

/// How a door is handed on.
enum class DoorState { as_mapped, open, closed };

struct RoomPlan {
  RoomLabels labels;
  std::vector<RoomFloor> floors;  ///< of each room with a name
  std::vector<Doorway> doors;
  std::vector<DoorState> states;  ///< of each door
  std::vector<NoGoArea> no_go;
  bool simulated = false;
};

/// number,room,area_m2,standard_uncertainty_m2,border_m,border_by_faces_m,border_unseen_m,border_to_rooms_m
std::string room_areas_csv(const RoomPlan& plan);

/// corner,room,x_m,y_m: the outlines' corners, counter-clockwise, the last joined to the first.
std::string room_outlines_csv(const RoomPlan& plan);

/// door,room_1,room_2,x1_m,y1_m,x2_m,y2_m,width_m,standard_uncertainty_m,measured_by,leaf_open_deg,handed_on
std::string doors_csv(const RoomPlan& plan);

/// corner,area,x_m,y_m
std::string no_go_csv(const RoomPlan& plan);

/// {{rooms}}, {{doors}} and {{no_go_areas}}: lists in JSON, which is YAML too; `[]` where there is nothing.
std::vector<Placeholder> room_placeholders(const RoomPlan& plan);

/// A line a room and a door, for people.
std::string room_words(const RoomPlan& plan);

}  // namespace wainscot
