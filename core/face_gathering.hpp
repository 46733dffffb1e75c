#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"
#include "core/rasteriser.hpp"

namespace wainscot {

/// What all scans say of each cell of a frame, row by row from the lowest.
struct CellVotes {
  const GridFrame& frame;
  std::span<const std::uint32_t> hits;             ///< scans of which a beam ended there
  std::span<const Eigen::Vector2f> hit_direction;  ///< sum of the unit vectors of the beams that ended there
  std::span<const std::uint8_t> crossed;           ///< 1: some scan saw through
  std::span<const float> log_odds;
};

/// Makes each wall face one cell thick, since range noise spreads its hits over two or three: from the highest score
/// down, a cell takes the hits of its neighbours across the wall. Only occupied cells take, so wherever a cell was
/// emptied an occupied one is near. `probability`: of each cell as its own votes have it; NaN where no beam came.
void gather_faces(const CellVotes& votes, const RasteriserOptions& options, std::vector<float>& probability);

}  // namespace wainscot
