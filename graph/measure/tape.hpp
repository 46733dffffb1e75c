#pragma once

// A tape laid into a map: the distance between two faces of walls near two points, from the returns on them, with what
// is known of its uncertainty (JCGM 100:2008: the parts are combined as variances).

#include <array>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "graph/map.hpp"
#include "graph/measure/wall_face_fit.hpp"
#include "graph/node_covariance.hpp"

namespace wainscot {

/// Two points of the map, each near a face of a wall.
struct Tape {
  Eigen::Vector2d from_m;
  Eigen::Vector2d to_m;
};

enum class OffsetUncertainty { in_each_tape, apart };

/// A map made ready for tapes.
class MeasurableMap {
 public:
  /// `returns[i]`: of the graph's node i. `map` must outlive this and stay as it is. `offset`: whether each tape's own
  /// uncertainty has that of the lidar's range offset in it, which all tapes share.
  MeasurableMap(const Map& map, std::vector<std::vector<PlacedReturn>> returns,
                OffsetUncertainty offset = OffsetUncertainty::in_each_tape);

  const std::vector<WallPiece>& pieces() const { return map_.wall_pieces; }
  const PlacedReturns& returns() const { return returns_; }
  const NodeCovariance& poses() const { return poses_; }
  /// Relative standard uncertainty of all the map's distances together.
  double scale_sd() const { return scale_sd_; }
  /// Standard uncertainty of the lidar's range offset.
  double range_offset_sd_m() const { return returns_.range_offset_sd_m; }

 private:
  const Map& map_;
  PlacedReturns returns_;
  NodeCovariance poses_;
  double scale_sd_ = 0.0;
};

enum class TapeKind {
  across,            ///< between parallel faces, square to them
  corner_to_corner,  ///< between two corners
  point_to_point     ///< between the points themselves, moved onto faces that are not parallel
};

struct TapeOptions {
  double reach_m = 0.4;         ///< a face further from the point is not meant
  double behind_m = 0.08;       ///< nor one whose back the point looks at from further off
  double parallel_rad = 0.087;  ///< 5 degrees
  double corner_m = 0.3;        ///< a corner further from the point is not meant
  double askew_rad = 0.44;      ///< 25 degrees: points that lie less square to parallel faces mean corners, if any
  WallFaceFitOptions fit;
};

struct TapeMeasure {
  TapeKind kind = TapeKind::across;
  double distance_m = 0.0;
  double own_sd_m = 0.0;  ///< noise, poses and surfaces: differs from tape to tape
  double sd_m = 0.0;      ///< with the scale of the map, which all tapes share
  /// How much longer the distance would be for each metre that the lidar measured longer: 2 between facing walls, -2
  /// through a wall.
  double by_range_offset = 0.0;
  Eigen::Vector2d from_m = Eigen::Vector2d::Zero();  ///< its ends, on the faces
  Eigen::Vector2d to_m = Eigen::Vector2d::Zero();
  int nodes = 0;  ///< from how many nodes the faces were seen
};

struct TapeAnswer {
  std::optional<TapeMeasure> measure;  ///< nullopt: near one of the points no face was seen, or hardly a return on it
  std::array<double, 2> nearest_m{};   ///< how far the nearest wall is from either point; infinite in an empty map
};

TapeAnswer measure_tape(const MeasurableMap& map, const Tape& tape, const TapeOptions& options = {});

/// From a point to the nearest face; infinite where there is none.
double distance_to_wall(const std::vector<WallPiece>& pieces, const Eigen::Vector2d& point);

}  // namespace wainscot
