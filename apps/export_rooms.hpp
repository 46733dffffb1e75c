#pragma once

// The rooms of a map that `export` hands on, and the grid as the user wants it handed on.

#include <filesystem>
#include <string>
#include <vector>

#include "io/files/output_files.hpp"
#include "io/map/map_reader.hpp"
#include "io/rooms/room_plan.hpp"

namespace wainscot {

struct RoomExport {
  RoomPlan plan;
  OccupancyGrid grid;  ///< the map's, with areas and doors closed or opened as the list wants
  std::vector<std::string> warnings;
};

/// Throws `InputError` for what is wrong in the list, and `PoorData` where the map has no wall.
RoomExport export_rooms(const SavedMap& saved, const RoomList& list);

/// The tables, with their names in `folder`.
std::vector<OutputFile> room_tables(const RoomPlan& plan, const std::filesystem::path& folder);

}  // namespace wainscot
