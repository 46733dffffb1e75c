#pragma once

// A floor plan of fitted lines in metres, for drawing programs: layers named floor, walls, path, axes and notes. Its
// DXF form is in io/draw/wall_plan_dxf.

#include <string>
#include <vector>

#include "core/pose2.hpp"
#include "graph/measure/lineless_walls.hpp"
#include "graph/measure/wall_lines.hpp"
#include "io/draw/plan_svg.hpp"

namespace wainscot {

/// A room with a name: drawn in SVG only.
struct PlanRoom {
  std::string name;
  Eigen::Vector2d label_m{0.0, 0.0};     ///< where its name stands
  std::vector<Eigen::Vector2d> outline;  ///< closed
};

struct WallPlan {
  std::string title;
  std::vector<WallLine> walls;
  std::vector<std::vector<Pose2>> paths;  ///< one a drive
  PlanArea floor;                         ///< cells that were seen free, in the map frame; drawn in SVG only
  LinelessWalls lineless;                 ///< cells of floor's frame that are wall without a line; drawn in SVG only
  std::vector<PlanRoom> rooms = {};       ///< in a layer of their own, `rooms`, which is not there without any
  bool simulated = false;                 ///< say so in the plan
};

/// The path's places at least 2 cm from one another, and its last one.
std::vector<Eigen::Vector2d> thinned_path(const std::vector<Pose2>& path);

/// An SVG document at a scale of 1:50. Inside the layers a user unit is a metre of the map frame, y up.
std::string wall_plan_svg(const WallPlan& plan);

/// A row a wall: wall,x1_m,y1_m,x2_m,y2_m,length_m,normal_rad,sd_m,pieces,returns; the normal points to the side that
/// was seen, sd_m is the standard uncertainty across the wall. The caution stands before it as a comment.
std::string wall_plan_csv(const WallPlan& plan);

}  // namespace wainscot
