#pragma once

// One simulated house from plan to map, and how far the map is from the truth. All figures are simulated.

#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/simulate.hpp"
#include "apps/simulator/surfaces.hpp"
#include "core/trajectory_error.hpp"
#include "graph/map.hpp"

namespace wainscot::bench {

/// Accepted closures that lie further than this from the truth are wrong.
constexpr double kWrongClosure_m = 0.10;
constexpr double kWrongClosure_rad = 3.0 * 0.017453292519943295;

/// Closures against the truth.
struct ClosureScore {
  int right = 0;
  int wrong = 0;
  int revisits = 0;         ///< stretches of the drive that come back to a place seen long before
  int revisits_closed = 0;  ///< of these, those that an accepted closure joins to the earlier time
};

/// Distances between facing walls, measured in the map as a tape would be.
struct WallScore {
  std::vector<double> errors_m;     ///< map - truth
  std::vector<double> distances_m;  ///< the true ones, in the same order
  std::vector<double> sds_m;        ///< as the map states them
  int unmeasured = 0;               ///< pairs of which the map holds no piece of one face

  /// Fraction of the errors within the larger of 5 mm and 0.2 %; 1 where there are none.
  double within_goal() const;
  /// Median of the errors' absolute values; 0 where there are none.
  double median_error_m() const;
};

struct GridScore {
  double recall = 1.0;  ///< of wall that three scans or more saw, the part with an occupied cell within one cell
  double stray = 0.0;   ///< of occupied cells, the part more than 1.5 cells from any true face
};

/// Whether stated 95 % intervals held the truth: one entry a quantity.
struct Coverage {
  std::string name;
  bool held = false;
};

struct HouseScore {
  std::uint64_t house = 0;
  double drive_s = 0.0;
  double path_m = 0.0;
  double build_cpu_s = 0.0;  ///< of build_map on one thread
  std::size_t beams = 0;     ///< returns in the drive
  int nodes = 0;
  TrajectoryError path;      ///< rigid alignment
  TrajectoryError shape;     ///< alignment with scale
  TrajectoryError odometry;  ///< odometry alone, rigid
  ClosureScore closures;
  WallScore walls;
  GridScore grid;
  std::vector<Coverage> coverage;
  std::vector<std::string> warnings;  ///< of the map
  /// Greatest memory of building and of the returns of the drive, MB; means something only where nothing else
  /// runs in the process.
  double peak_mb = 0.0;
  std::string failure;  ///< why there is no map; empty: there is one
};

/// Two walls that face each other across free space, in the frame of the house.
struct FacingWalls {
  Eigen::Vector2d from;
  Eigen::Vector2d to;
  Eigen::Vector2d normal;  ///< of the wall at `from`; the other one's is the opposite
};

/// Every half metre along every wall the wall opposite, 0.5 to 15 m off, parallel to 0.3 degrees.
std::vector<FacingWalls> facing_walls(const simulator::Surfaces& surfaces);

/// The drive as it is after it was written to a folder and read back.
Drive written_and_read(const simulator::SimulatedDrive& simulated, const simulator::RobotSpec& robot);

/// Simulates the plan, writes it as a drive folder (a temporary one), reads that, maps it on one thread and scores the
/// map. A drive that cannot be mapped is told in `failure`.
HouseScore score_house(const simulator::Plan& plan, std::uint64_t house);

/// The true pose at a time, between the rows of the truth; the nearest row's outside.
Pose2 true_pose(const std::vector<TimedPose>& truth, double time_s);

ClosureScore score_closures(const Map& map, const simulator::Truth& truth);
WallScore score_walls(const Map& map, const simulator::Truth& truth, const Pose2& truth_from_map);
GridScore score_grid(const Map& map, const Drive& drive, const simulator::Truth& truth, const Pose2& truth_from_map);
/// One case of each kind a house, so that houses are independent cases: that in the middle.
std::vector<Coverage> score_coverage(const Map& map, const simulator::Truth& truth, const WallScore& walls);

}  // namespace wainscot::bench
