#pragma once

#include <string>
#include <vector>

#include "graph/known/locate.hpp"

namespace wainscot {

/// Answers as a table, a row a scan: time_s,x_m,y_m,heading_rad,sd_x_m,sd_y_m,sd_heading_rad,answer (io/FORMATS.md);
/// the deviations along the axes of the map. An ambiguous row holds the place that fits best; with `all_places` there
/// is a row for each place, the best first.
std::string location_csv(const std::vector<LocatedScan>& located, bool all_places);

/// The same in two parts, for answers that are told while the robot drives.
inline constexpr const char* kLocationColumns = "time_s,x_m,y_m,heading_rad,sd_x_m,sd_y_m,sd_heading_rad,answer\n";
std::string location_rows(const std::vector<LocatedScan>& located, bool all_places);

}  // namespace wainscot
