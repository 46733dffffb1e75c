#pragma once

// graph.sqlite of a map folder: all that the mapper knew, for later commands and for a curious person's SQL.
//
// Schema 2. Lengths in metres, angles in radians counter-clockwise, times in seconds on the wheels' clock; a column's
// unit stands in its name. Matrices are symmetric, their six entries in columns xx, xy, yy, xh, yh, hh (x forward and y
// left in the frame of the node named below, h heading). A figure that is not known is NULL.
//
//   meta         key, value                     schema_version, program_version, loops_closed, simulated, cell_size_m
//   drives       drive, name, checksum, robot_yaml
//                  1, and 2, 3 ... for drives that extended the map; robot_yaml states every constant of the robot
//   wheels       drive, time_s, left_ticks, right_ticks, follows_break
//   odometry     drive, time_s, x_m, y_m, heading_rad, follows_break
//                  as recorded, whichever the drive has; follows_break 1: nothing is known of the motion since the row
//                  before
//   gyro         drive, time_s, yaw_rate_rad_s  as recorded
//   marker_sightings, surveyed_markers, hints   the drive's markers.csv, marker_map.csv and hints.csv
//   nodes        node, drive, scan, time_s, x_m, y_m, heading_rad, covariance_xx_m2 ... covariance_hh_rad2
//                  pose in the map frame; covariance in the node's own frame against node 0; `scan` counts the scans of
//                  its drive from 0
//   scans        node, recorded_s, returns, points
//                  the node's returns as recorded, range scale and offset not applied; recorded_s is the first beam's
//                  moment before the clock's offset that was found, which nodes.time_s has in it
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
#include <span>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// `PRAGMA user_version` of what is written. 1 had no recordings.
inline constexpr int graph_database_schema = 2;

/// The word for a kind of edge in the table `edges`.
const char* edge_kind_text(EdgeKind kind);

/// Writes a new database. `drives`: drive 1, 2 ... of the map's nodes. The same values give the same bytes. Throws
/// std::runtime_error where the file cannot be written, for example on a full disk. `file` must not exist; every node's
/// scan must be one of its drive's.
void write_graph_database(const Map& map, std::span<const Drive> drives, const MapOrigin& origin,
                          const std::filesystem::path& file);

}  // namespace wainscot
