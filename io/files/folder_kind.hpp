#pragma once

// Which kind of folder a name leads to, so that a drive given for a map, or a map for a drive, is called what it is.

#include <filesystem>
#include <string>

#include "core/errors.hpp"

namespace wainscot {

/// Whether a folder holds what `wainscot build` wrote: its grid.yaml begins as that of a map.
bool is_map_folder(const std::filesystem::path& folder);

/// Whether a folder is a drive's: it has a robot.yaml or a table of scans or returns, and is no map.
bool is_drive_folder(const std::filesystem::path& folder);

/// Throws `InputError` where there is no map: nothing at all, a file, a drive, a folder of something else, or a map
/// that lacks a file that every use of it needs (grid, paths) or has something else than a plain file in its place.
void require_map_folder(const std::filesystem::path& folder);

/// The text of a map's grid.yaml. Throws `InputError` where that is no plain file in the folder, or larger than any
/// map's.
std::string sidecar_text(const std::filesystem::path& map_folder);

/// The refusal of a map's file that is of another form than the one that this program reads: a newer program's, or an
/// older one's, with the command that renews the map.
InputError other_form(const std::filesystem::path& file, int form, int known);

/// Throws `InputError` where `file` would lie in a map's folder, or in a folder in it: the program alone writes there,
/// and whatever else stands in it would hinder `--replace`. `file` need not be there.
void require_outside_maps(const std::filesystem::path& file);

}  // namespace wainscot
