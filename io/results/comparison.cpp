#include "io/results/comparison.hpp"

#include <numbers>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

void add_relative(std::vector<NamedFigure>& figures, const std::string& prefix, const RelativePoseError& error) {
  figures.push_back({prefix + "_stretches", static_cast<double>(error.pairs)});
  if (error.pairs == 0) return;
  figures.push_back({prefix + "_position_rmse_m", error.position_rmse_m});
  figures.push_back({prefix + "_position_median_m", error.position_median_m});
  figures.push_back({prefix + "_position_max_m", error.position_max_m});
  figures.push_back({prefix + "_heading_rmse_rad", error.heading_rmse_rad});
  figures.push_back({prefix + "_heading_max_rad", error.heading_max_rad});
}

void add_relations(std::vector<NamedFigure>& figures, const std::string& prefix, const RelationError& error) {
  figures.push_back({prefix + "_relations", static_cast<double>(error.relations)});
  if (error.relations == 0) return;
  figures.push_back({prefix + "_position_mean_m", error.position_mean_m});
  figures.push_back({prefix + "_position_sd_m", error.position_sd_m});
  figures.push_back({prefix + "_position_square_mean_m2", error.position_square_mean_m2});
  figures.push_back({prefix + "_heading_mean_rad", error.heading_mean_rad});
  figures.push_back({prefix + "_heading_sd_rad", error.heading_sd_rad});
  figures.push_back({prefix + "_heading_square_mean_rad2", error.heading_square_mean_rad2});
}

}  // namespace

std::vector<NamedFigure> figures_of(const PathComparison& path) {
  std::vector<NamedFigure> figures = {{"poses", static_cast<double>(path.error.pairs)},
                                      {"poses_outside", static_cast<double>(path.error.outside_truth)},
                                      {"position_rmse_m", path.error.position_rmse_m},
                                      {"position_median_m", path.error.position_median_m},
                                      {"position_max_m", path.error.position_max_m},
                                      {"heading_rmse_rad", path.error.heading_rmse_rad},
                                      {"heading_max_rad", path.error.heading_max_rad},
                                      {"scale", path.shape.scale},
                                      {"with_scale_position_rmse_m", path.shape.position_rmse_m}};
  for (const StretchError& stretch : path.over_way) {
    add_relative(figures, "over_" + short_text(stretch.way_m, 1) + "_m", stretch.error);
  }
  add_relative(figures, "over_turn", path.over_turn);
  add_relations(figures, "along_way", path.along_way);
  add_relations(figures, "seen_again", path.seen_again);
  figures.push_back({"drift_way_m_per_m", path.drift.way_m_per_m});
  figures.push_back({"drift_heading_rad_per_m", path.drift.heading_rad_per_m});
  figures.push_back({"drift_heading_rad_per_turn", 2.0 * std::numbers::pi * path.drift.heading_rad_per_rad});
  return figures;
}

std::vector<NamedFigure> figures_of(const MapsComparison& maps) {
  const Pose2& pose = maps.alignment.first_second;
  const WallDifference& walls = maps.walls;
  const double cell_m2 = maps.grid.frame.cell_size_m * maps.grid.frame.cell_size_m;
  const auto area_m2 = [&](CellDifference kind) { return cell_m2 * static_cast<double>(maps.grid.count(kind)); };
  return {{"second_x_m", pose.x_m},
          {"second_y_m", pose.y_m},
          {"second_heading_rad", pose.heading_rad},
          {"walls_agreeing", maps.alignment.agreement},
          {"walls_agreeing_otherwise", maps.alignment.runner_up},
          {"wall_pieces", static_cast<double>(walls.pieces)},
          {"wall_pieces_paired", static_cast<double>(walls.paired)},
          {"face_offset_rms_m", walls.offset_rms_m},
          {"face_offset_median_m", walls.offset_median_m},
          {"face_offset_95_m", walls.offset_95_m},
          {"wall_distances", static_cast<double>(walls.distances.size())},
          {"wall_distance_rms_m", walls.distance_rms_m},
          {"wall_distance_median_m", walls.distance_median_m},
          {"wall_distance_95_m", walls.distance_95_m},
          {"wall_in_both_m2", area_m2(CellDifference::wall_in_both)},
          {"wall_only_first_m2", area_m2(CellDifference::only_first)},
          {"wall_only_second_m2", area_m2(CellDifference::only_second)}};
}

}  // namespace wainscot
