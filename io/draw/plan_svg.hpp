#pragma once

// A floor plan as SVG: areas of cells, paths, a scale bar and the axes of the frame that it is drawn in, x to the right
// and y up.

#include <cstddef>
#include <string>
#include <vector>

#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"
#include "io/draw/svg_frame.hpp"

namespace wainscot {

/// Cells of one kind, filled.
struct PlanArea {
  std::string name;     ///< in the legend; empty: not there
  std::string classes;  ///< of the style sheet: floor, wall, gone, new
  GridFrame frame;
  std::vector<bool> marked;  ///< a value a cell of the frame
  Pose2 pose;                ///< of the frame's origin in the drawing's frame
};

struct PlanPath {
  std::string name;     ///< in the legend; empty: not there
  std::string classes;  ///< of the style sheet: path, path-2, path-3, odometry, odometry-2, truth
  std::vector<Pose2> poses;
};

struct PlanDrawing {
  std::string title;
  std::string frame_name = "map frame";  ///< whose axes the arrows show
  std::vector<PlanArea> areas;           ///< the lowest first
  std::vector<PlanPath> paths;           ///< the first one's beginning is marked "start"
  std::size_t drives = 1;                ///< so many of the first paths are drives, and their beginnings are numbered
  bool simulated = false;                ///< say so in the picture
  double width_px = 1400.0;              ///< of the plan, with its margin
  double margin_m = 0.5;  ///< round areas and paths, of which those that are no drives' may be cut off: widen_for_paths
};

/// Cells that are at least `occupied` probable as `wall`, those seen otherwise as `floor`.
std::vector<PlanArea> plan_areas(const OccupancyGrid& grid, const Pose2& pose = {}, double occupied = 0.5);

/// With coordinates in metres beside the lower and the left edge.
std::string plan_svg(const PlanDrawing& drawing, SvgUse use);

}  // namespace wainscot
