#pragma once

#include <string>
#include <vector>

#include "core/occupancy_grid.hpp"
#include "graph/known/locate.hpp"

namespace wainscot {

struct LocationPage {
  std::string map;  ///< names, any text
  std::string drive;
  bool simulated = false;
  std::string program_version;
};

/// A stretch of a drive with one answer.
struct AnswerStretch {
  Answer answer = Answer::lost;
  std::size_t first = 0;  ///< of the located scans
  std::size_t last = 0;
};
std::vector<AnswerStretch> answer_stretches(const std::vector<LocatedScan>& located);

/// A page that loads nothing from anywhere and needs no script: the way over the map, when the robot was sure, in doubt
/// or lost, and how sure. `located`: not empty. Well-formed as XML too.
std::string location_page(const OccupancyGrid& grid, const std::vector<LocatedScan>& located, const LocationPage& page);

}  // namespace wainscot
