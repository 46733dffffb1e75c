#pragma once

// What commands read back from graph.sqlite of a map folder (io/graph_database.hpp describes the tables).

#include <filesystem>
#include <string>
#include <vector>

#include "graph/map.hpp"

namespace wainscot {

struct GraphRecord {
  std::vector<std::string> drive_checksums;
  std::vector<WallPiece> wall_pieces;  ///< without those whose uncertainty is not known
};

/// Throws `InputError` where the database is missing, damaged or of a newer program.
GraphRecord read_graph_record(const std::filesystem::path& map_folder);

}  // namespace wainscot
