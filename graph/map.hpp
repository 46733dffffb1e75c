#pragma once

// What the mapper makes of a drive: values only, no files. `io/map/map_folder` writes it.

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"
#include "graph/changes.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

/// One used scan's pose, first beam.
struct TrajectoryRow {
  double time_s = 0.0;  ///< on the wheels' clock, corrected by the offset that was found
  Pose2 pose;           ///< optimised, map frame
  Pose2 odometry;       ///< by odometry alone, beginning at the optimised first pose
  int drive = 1;
};

/// A constant of the robot that was a variable of the adjustment.
struct RefinedConstant {
  std::string name;        ///< the key of robot.yaml, for example "lidar.heading_deg"
  std::string unit;        ///< "m", "deg", "s", "1", "m/tick", ...
  double stated = 0.0;     ///< by robot.yaml
  double stated_sd = 0.0;  ///< the prior's standard deviation
  double found = 0.0;
  double found_sd = 0.0;  ///< standard uncertainty after the adjustment
  bool observed = false;  ///< the drive shrank the uncertainty to less than half
};

/// A short straight piece of wall, one face of it, that many scans share.
struct WallPiece {
  Eigen::Vector2d middle_m;  ///< map frame
  double normal_rad = 0.0;   ///< direction of the normal, pointing to the side that was seen
  double half_length_m = 0.0;
  double sd_m = 0.0;  ///< standard uncertainty of the offset along the normal, against walls seen from the same places
  int returns = 0;    ///< how many returns lie on it
  int nodes = 0;      ///< and from how many nodes
};

/// Its normal as a unit vector.
inline Eigen::Vector2d normal_of(const WallPiece& piece) {
  return {std::cos(piece.normal_rad), std::sin(piece.normal_rad)};
}

/// A marker of markers.csv, where the map has it.
struct MappedMarker {
  std::string name;
  Pose2 place;  ///< map frame; the heading means something only where has_heading
  bool has_heading = false;
  double sd_m = 0.0;            ///< standard uncertainty of the place, the larger of x and y, against the first node
  int sightings = 0;            ///< that the adjustment used
  double residual_rms_m = 0.0;  ///< of these: distance between where the marker was seen and its place
  bool surveyed = false;        ///< marker_map.csv has it, and its row was used
  double survey_difference_m = 0.0;  ///< then: distance from the surveyed place
};

/// A row of markers.csv that nothing was made from.
struct LeftOutSighting {
  std::size_t sighting = 0;  ///< index into Drive::markers
  double time_s = 0.0;
  std::string marker;
  std::string reason;  ///< for people, one sentence without full stop
};

/// What was made of markers.csv and marker_map.csv; empty without them.
struct MapMarkers {
  std::vector<MappedMarker> markers;  ///< in alphabetical order
  std::vector<LeftOutSighting> left_out;
  bool frame_by_survey = false;  ///< the map's frame is that of marker_map.csv
};

/// A line of followed.csv, where the map has it.
struct MappedLine {
  std::string name;
  Eigen::Vector2d from_m{0.0, 0.0};  ///< the robot followed it from here to there, map frame
  Eigen::Vector2d to_m{0.0, 0.0};
  double sd_m = 0.0;    ///< standard uncertainty of its place across, in the middle, against the first node,
  double sd_rad = 0.0;  ///< and of its direction
  int stretches = 0;    ///< that the adjustment used
  double followed_m = 0.0;
  double residual_rms_m = 0.0;       ///< of the robot's distance from it at the nodes
  bool measured = false;             ///< line_map.csv has it, and its row was used
  double survey_difference_m = 0.0;  ///< then: the greatest distance between from_m or to_m and the measured line,
  double own_sd_m = 0.0;             ///< and how well following and measuring alone know where it lies across
};

/// A row of followed.csv that nothing was made from.
struct LeftOutStretch {
  std::size_t stretch = 0;  ///< index into Drive::followed
  double from_s = 0.0;
  double to_s = 0.0;
  std::string line;
  std::string reason;  ///< for people, one sentence without full stop
};

/// What was made of followed.csv and line_map.csv; empty without them.
struct MapLines {
  std::vector<MappedLine> lines;  ///< in alphabetical order
  std::vector<LeftOutStretch> left_out;
  double noise_m = 0.0;     ///< how well the robot kept to the lines, by its residuals: standard deviation
  double aside_m = 0.0;     ///< how far to the left of a line it drove, in the mean,
  double aside_sd_m = 0.0;  ///< and the standard uncertainty of that
};

/// A length between two faces that was measured in the house (graph/measure/tape_evidence).
struct MappedTape {
  std::string name;
  Eigen::Vector2d from_m{0.0, 0.0};  ///< the points that chose the faces, map frame
  Eigen::Vector2d to_m{0.0, 0.0};
  double tape_m = 0.0;
  double tape_sd_m = 0.0;
  std::optional<double> without_m;  ///< what the map without tapes says; nullopt: no two faces were found
  std::string left_out;             ///< why nothing was made from it, for people; empty: it holds the map's scale
};

/// What the adjustment knows of what all lengths hang on: the relative errors of the lidar's ranges and of odometry's
/// way, and the lidar's range offset (m), in the order of `Constant`: ranges, offset, way.
struct ScaleKnowledge {
  Eigen::Vector3d change = Eigen::Vector3d::Zero();  ///< found, against robot.yaml
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  double way_sd_m_per_sqrt_m = 0.0;  ///< noise of odometry along the way, as found
};

/// Something that a person can do to know the scale better (graph/measure/scale_remedies).
struct ScaleRemedy {
  enum class Kind { tapes, straight_run, surveyed_markers };
  Kind kind = Kind::tapes;
  int count = 1;          ///< tapes, runs, markers
  double length_m = 0.0;  ///< of the first tape, of each run, from marker to marker
  double sd_m = 0.0;      ///< how well each must be measured
  double scale_sd = 0.0;  ///< relative standard uncertainty of the scale afterwards
  /// Of tapes: from face to face between these points, map frame, the one that is worth most first.
  std::vector<std::array<Eigen::Vector2d, 2>> between_m = {};
};

/// How good the map is believed to be, and what it was made from. Figures for `summary.json` and the account.
struct Quality {
  double path_length_m = 0.0;
  double way_left_open_m = 0.0;  ///< of the path: where the walls left a direction or the heading to odometry
  double duration_s = 0.0;
  int scans_used = 0;
  int scans_outside_odometry = 0;  ///< left out: not wholly inside odometry's times
  int scans_without_enough_returns = 0;
  int scans_while_carried = 0;  ///< left out: the robot was carried or slid, see place_scans
  double cost_before = 0.0;     ///< of the pose graph, before optimisation (chi squared / 2)
  double cost_after = 0.0;
  double residual_rms_m = 0.0;        ///< of returns on wall pieces after the adjustment
  double matched_fraction = 0.0;      ///< returns that end within a cell of an occupied one / returns with a normal
  double position_sd_median_m = 0.0;  ///< stated standard uncertainty of nodes against the first one
  double position_sd_worst_m = 0.0;
  double place_sd_m =
      0.0;  ///< of nodes against the map as a whole, scale apart (see Map::place_sds_m): root mean square
  double place_sd_worst_m = 0.0;
  double heading_sd_median_rad = 0.0;
  double heading_sd_worst_rad = 0.0;
  double scale_sd = 0.0;     ///< relative standard uncertainty of the map's scale
  std::string scale_set_by;  ///< "wheels", "odometry", "lidar", "wheels and lidar together", "tapes": for people
  double start_to_end_odometry_m = 0.0;  ///< distance between odometry's end and the optimised end

  /// False where so few returns end on the map's own walls that something is fundamentally wrong, most often a key of
  /// robot.yaml: no stated uncertainty means anything then. Good maps have 0.9 and more.
  bool trustworthy() const { return matched_fraction >= 0.6; }
};

/// What one drive gave to a map of several.
struct DriveShare {
  double path_length_m = 0.0;
  double duration_s = 0.0;
  int scans_used = 0;
};

/// Where on the path mapping had trouble: numbers of nodes, ascending, each for the way to it from the node before.
struct PathTroubles {
  std::vector<std::size_t> left_open;  ///< the walls left a direction or the heading to odometry
  std::vector<std::size_t> jumps;      ///< the robot was lifted, or slid: odometry means nothing
  /// Nodes themselves, which odometry alone ties to most of the map (graph/mapping/tied_nodes.hpp).
  std::vector<std::size_t> unjoined = {};
  /// Of the jumps those that a match leads over and no loop spans (graph/mapping/path_jumps.hpp).
  std::vector<std::size_t> unconfirmed = {};
};

struct Map {
  OccupancyGrid grid;
  std::vector<TrajectoryRow> trajectory;
  PoseGraph graph;
  std::vector<LoopCandidate> candidates;
  std::vector<RefinedConstant> constants;
  std::vector<WallPiece> wall_pieces;
  MapMarkers markers;
  MapLines lines;
  std::vector<Change> changes;  ///< what was there at one time and not at another, the largest first
  std::vector<MappedTape> tapes;
  ScaleKnowledge scale;
  std::vector<ScaleRemedy> scale_remedies;  ///< the best first; empty: none helps, or nothing is known of it
  Quality quality;
  std::vector<DriveShare> shares;  ///< of each drive, where there are several; else empty
  PathTroubles troubles;
  std::vector<double> place_sds_m;    ///< a node each, as graph/mapping/place_sureness has it; empty: not known
  std::vector<std::string> warnings;  ///< one sentence each, with numbers and what to do

  /// Whether what is not joined is no more than the places that "19 of 20" leaves out. Then how sure the map is said to
  /// be is said of the others.
  bool few_unjoined() const { return 20 * troubles.unjoined.size() <= graph.nodes.size(); }
};

}  // namespace wainscot
