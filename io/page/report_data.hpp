#pragma once

#include <cstddef>
#include <string>

#include "core/drives.hpp"
#include "graph/map.hpp"

namespace wainscot {

struct ReportDataOptions {
  double spacing_m = 0.03;  ///< a return nearer than this to the one kept before it is left out of a scan
  /// Of all scans as text. Where they are more, the spacing grows, and then scans are left out: a page must stay small
  /// enough for a phone.
  std::size_t most_scan_bytes = 3'200'000;
};

/// What report.html's script shows beyond the page's own words, as one JSON object. Tables are PackedTables,
/// {"columns": [[name, unit], ...], "rows": n, "packed": base64}; poses are in the map frame, m and rad.
/// `map`: of several drives with its times on one line (io/time_line).
///  - trajectory: a row a used scan; time_s and pose, and the pose by odometry alone
///  - nodes: row of the trajectory, covariance of x, y (map frame) and heading against the first node
///  - scans: {"spacing_m", "bytes_of_node": packed table, "packed"}: for each node its returns in the robot's frame,
///    centimetres, as a PackedTable's bytes of two columns; 0 bytes for a node whose scan was left out
///  - pieces, edges, candidates, passing: as WallPiece, Edge with EdgeResidual, LoopCandidate, Passing; the reasons of
///    candidates stand once each in "reasons"
///  - changes: as Change, with a text for people
std::string report_data(const Map& map, Drives drives, const ReportDataOptions& options = {});

}  // namespace wainscot
