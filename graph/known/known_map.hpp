#pragma once

// A finished map as something to find a robot in: its walls as lines to match against, its floor, and a raster for the
// search of the whole house. Made once, then used from any number of threads.

#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"
#include "scanmatch/correlative.hpp"
#include "scanmatch/line_map.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

/// What one node of the map saw.
struct MapView {
  Pose2 pose;                     ///< of the robot, map frame
  std::vector<ScanPoint> points;  ///< corrected for motion, with normals
};

/// How returns agree with the map, counted.
struct MapFit {
  double on_wall = 0.0;  ///< lie on a wall of the map
  double against = 0.0;  ///< lie where the map's floor is free, or behind a wall that the beam would have had to cross
  double all = 0.0;      ///< these, and what the map says nothing about

  MapFit& operator+=(const MapFit& other);
  MapFit& operator-=(const MapFit& other);
  double explained() const { return all > 0.0 ? on_wall / all : 0.0; }
  double contradicted() const { return all > 0.0 ? against / all : 0.0; }
  /// 0: every return lies on a wall; 1: every return contradicts the map. What the map says nothing of counts a third:
  /// it may be a part of the house that was not mapped.
  double misfit() const { return all > 0.0 ? (against + (all - on_wall - against) / 3.0) / all : 1.0; }
};

class KnownMap {
 public:
  /// `noise`: of the lidar that made the map.
  KnownMap(const OccupancyGrid& grid, const std::vector<MapView>& views, const RangeNoise& noise);

  const LineMap& lines() const { return lines_; }
  const std::vector<Eigen::Vector2d>& floor() const { return floor_; }  ///< points of free floor, 0.2 m apart
  double floor_m2() const { return floor_m2_; }                         ///< area of all free floor

  /// Whether the map says anything about a point: floor, or a wall.
  bool is_known(const Eigen::Vector2d& point) const;

  /// Whether the map is sure that a point is floor, and so is what lies within 0.1 m of it.
  bool is_open_floor(const Eigen::Vector2d& point) const;

  /// Compares returns in the robot's frame with the map, the robot at `pose`.
  MapFit fit(const std::vector<ScanPoint>& points, const Pose2& pose) const;

  /// Where in the house what a robot has seen around itself may be, over the whole floor and all headings: the best
  /// first, to a decimetre and a degree or two. `walls`: pieces of wall in the robot's frame.
  std::vector<CorrelativeMatch> places_like(const LineMap& walls) const;

  /// Also those where the map has only some of it, and may lack the floor that the robot stands on.
  std::vector<CorrelativeMatch> places_partly_like(const LineMap& walls) const;

 private:
  enum Cell : std::uint8_t { kUnsure, kOpenFloor, kNearWall };

  std::int32_t cell_of(const Eigen::Vector2d& point) const;
  void sort_cells(const OccupancyGrid& grid);
  void draw_lines(const OccupancyGrid& grid);
  bool goes_through_wall(const Eigen::Vector2d& origin, const Eigen::Vector2d& beam, double range_m) const;
  std::vector<double> parallel_headings(const LineMap& walls) const;
  std::vector<CorrelativeMatch> peaks_of(const LineMap& walls, const std::vector<Eigen::Vector2d>& places,
                                         const PeakOptions& options) const;

  GridFrame frame_;
  LineMap lines_;
  std::vector<Cell> cells_;
  std::vector<std::int32_t> line_in_cell_;  ///< index into lines_, or kNone
  std::vector<Eigen::Vector2d> floor_;      ///< points of free floor, 0.2 m apart
  std::vector<Eigen::Vector2d> unseen_;     ///< of what nobody has seen near the floor, likewise
  double floor_m2_ = 0.0;
  LikelihoodRaster raster_;
};

}  // namespace wainscot
