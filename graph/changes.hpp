#pragma once

// What changed in the house: doors that were seen both open and closed, and things that were there at one time and not
// at another, during a drive or between two.

#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"
#include "core/rasteriser.hpp"

namespace wainscot {

struct ChangeOptions {
  int least_visits = 2;            ///< that saw it there, and that saw it gone: one alone may have missed a pane
  double gap_m = 0.11;             ///< cells no further apart belong together: two cells of the usual size
  double least_length_m = 0.3;     ///< smaller ones are people's feet, and noise
  double door_least_m = 0.4;       ///< a door leaf is so long
  double door_most_m = 1.4;        ///< and no longer: two leaves of 0.7
  double door_thickness_m = 0.17;  ///< and no thicker than this: its leaf, and the raster
};

/// A straight door leaf, or something else.
struct Change {
  bool door = false;
  Eigen::Vector2d from_m = Eigen::Vector2d::Zero();  ///< its two ends along the longer axis, map frame
  Eigen::Vector2d to_m = Eigen::Vector2d::Zero();
  int visits_there =
      0;  ///< in which it was seen there, and in which the place was seen to be free: medians over its cells
  int visits_gone = 0;
  std::vector<std::size_t> cells;  ///< indices into the grid, ascending
  int since_drive = 0;    ///< 0: it changed during a drive; else the first drive (2, 3 ...) that saw it changed
  bool appeared = false;  ///< of those between drives: it was not there before, rather than gone since
};

/// Groups the cells; the largest change first.
std::vector<Change> find_changes(const GridFrame& frame, const std::vector<ChangedCell>& cells,
                                 const ChangeOptions& options = {});

/// What one drive saw otherwise than the drives before it, the largest first. `before` and `now`: the grids of those
/// and of that drive alone, on the same frame; a cell counts where both saw for sure what they saw. `drive`: its
/// number.
std::vector<Change> find_changes_since(const OccupancyGrid& before, const OccupancyGrid& now, int drive,
                                       const ChangeOptions& options = {});

/// Those without a cell in or beside one of `others`.
std::vector<Change> apart_from(std::vector<Change> changes, const std::vector<Change>& others, const GridFrame& frame);

/// Makes a door that moved during a drive neither a wall nor nothing: its cells get a probability a little below even.
void soften_doors(const std::vector<Change>& changes, OccupancyGrid& grid);

}  // namespace wainscot
