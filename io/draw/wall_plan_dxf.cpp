#include "io/draw/wall_plan_dxf.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include "io/draw/dxf_writer.hpp"
#include "io/map_origin.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

/// To a tenth of a millimetre, as the plan's other forms have it.
Eigen::Vector2d rounded_place(const Eigen::Vector2d& place_m) {
  return {rounded(place_m.x(), 4), rounded(place_m.y(), 4)};
}

void add_path(DxfWriter& dxf, const std::vector<Pose2>& path) {
  std::vector<Eigen::Vector2d> places = thinned_path(path);
  if (places.size() < 2) return;
  std::transform(places.begin(), places.end(), places.begin(), rounded_place);
  dxf.add_polyline("path", places);
}

void add_notes(DxfWriter& dxf, const WallPlan& plan) {
  constexpr double height_m = 0.15;
  Eigen::Vector2d corner(0.0, 0.0);
  for (const WallLine& wall : plan.walls) corner = corner.cwiseMin(wall.from_m).cwiseMin(wall.to_m);
  dxf.add_text("notes", rounded_place(corner - Eigen::Vector2d(0.0, 0.5)), height_m,
               std::string(plan.simulated ? "Simulated. " : "") + "Units are metres of the map frame.");
  dxf.add_text("notes", rounded_place(corner - Eigen::Vector2d(0.0, 0.8)), height_m, map_caution);
}

}  // namespace

std::string wall_plan_dxf(const WallPlan& plan) {
  constexpr int white = 7;  // black where the ground is white
  constexpr int blue = 5;
  constexpr int grey = 8;
  DxfWriter dxf({{"walls", white}, {"path", blue}, {"axes", grey}, {"notes", grey}});
  for (const WallLine& wall : plan.walls) dxf.add_line("walls", rounded_place(wall.from_m), rounded_place(wall.to_m));
  for (const std::vector<Pose2>& path : plan.paths) add_path(dxf, path);
  constexpr double arm_m = 0.6;
  dxf.add_line("axes", {0.0, 0.0}, {arm_m, 0.0});
  dxf.add_line("axes", {0.0, 0.0}, {0.0, arm_m});
  add_notes(dxf, plan);
  return dxf.document();
}

}  // namespace wainscot
