#pragma once

// graph.sqlite of a map folder: all that the mapper knew, for later commands and for a curious person's SQL.
//
// Schema 1. Lengths in metres, angles in radians counter-clockwise, times in seconds on the wheels' clock; a column's
// unit stands in its name. Matrices are symmetric, their six entries in columns xx, xy, yy, xh, yh, hh (x forward and y
// left in the frame of the node named below, h heading). A figure that is not known is NULL.
//
//   meta         key, value                     schema_version, program_version, loops_closed, simulated, cell_size_m
//   drives       drive, name, checksum          1, and 2, 3 ... for drives that extended the map
//   nodes        node, drive, scan, time_s, x_m, y_m, heading_rad, covariance_xx_m2 ... covariance_hh_rad2
//                  pose in the map frame; covariance in the node's own frame against node 0; `scan` counts the scans of
//                  its drive from 0
//   scans        node, returns, points          the node's returns as recorded, range scale and offset not applied
//   edges        edge, kind, from_node, to_node, x_m, y_m, heading_rad, information_xx_per_m2 ...
//   information_hh_per_rad2
//                  kind is odometry, match or closure; pose of to_node in the frame of from_node; information is the
//                  inverse covariance in the frame of to_node
//   candidates   candidate, from_node, to_node, predicted_x_m ... found_heading_rad, overlap, contradiction,
//   chi_squared,
//                  verdict (accepted or rejected), reason
//   constants    name, unit, stated, stated_sd, found, found_sd, observed
//                  robot.yaml's constants that were variables; observed 1: the drive halved the uncertainty at least
//   wall_pieces  piece, x_m, y_m, normal_rad, half_length_m, sd_m, returns, nodes
//                  middle and normal of a face, normal towards the side that was seen; sd_m along the normal
//
// scans.points is a blob of 12 bytes a return, in the order of firing: three little-endian IEEE 754 single-precision
// numbers angle_rad, range_m, time_offset_s (core/drive.hpp, `Return`). Example:
//
//   sqlite3 MAP/graph.sqlite "SELECT from_node, to_node, reason FROM candidates WHERE verdict = 'rejected'"

#include <filesystem>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// Writes a new database. The same values give the same bytes. Throws std::runtime_error where the file cannot be
/// written, for example on a full disk. `file` must not exist; every node's scan must be one of the drive's.
void write_graph_database(const Map& map, const Drive& drive, const MapOrigin& origin,
                          const std::filesystem::path& file);

}  // namespace wainscot
