#pragma once

// A map's folder on the disk: written whole or not at all.
//
// The files are made in a working folder beside the destination (io/files/working_folder), are brought to the disk
// (fsync), and then the folder takes its name, or two names are exchanged, in one step of the file system (Linux
// renameat2). Whoever kills the program leaves the old map, or none, or the new one.

#include <filesystem>
#include <string>

#include "core/drives.hpp"
#include "graph/map.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// Throws `InputError` where a map could not be written to `folder`: its parent does not exist or is not writable, the
/// name is taken by something that is not a map, it holds files that wainscot did not write, or it is a map and
/// `replace` is false. To be asked before the long work; leaves nothing behind.
void check_map_destination(const std::filesystem::path& folder, bool replace);

/// Writes all files of a map, `robot_yaml` as such a file too where it is not empty. Throws `InputError` as
/// `check_map_destination` does, and where the disk is full; then what was there before is untouched.
void write_map(const Map& map, Drives drives, const MapOrigin& origin, const std::filesystem::path& folder,
               bool replace, const std::string& robot_yaml = {});

}  // namespace wainscot
