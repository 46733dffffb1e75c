#pragma once

#include <vector>

#include <SQLiteCpp/SQLiteCpp.h>

#include "core/drive.hpp"

namespace wainscot {

/// What graph.sqlite holds of the map's drives, drive 1 first: robot, wheels or odometry, gyro, markers and hints. The
/// scans, which belong to nodes, are not among it. Throws std::out_of_range for what cannot be, SQLite::Exception where
/// the database cannot be read.
std::vector<Drive> read_recordings(const SQLite::Database& database);

}  // namespace wainscot
