#pragma once

// One simulated house from plan to map, and how far the map is from the truth. All figures are simulated.

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/simulate.hpp"
#include "core/trajectory_error.hpp"
#include "graph/map.hpp"
#include "graph/mapping/map_verdict.hpp"
#include "tests/bench/closure_score.hpp"
#include "tests/bench/grid_score.hpp"
#include "tests/bench/true_pose.hpp"
#include "tests/bench/wall_score.hpp"

namespace wainscot::bench {

/// Whether a stated 95 % interval held the truth, and by how much: one entry a quantity.
struct Coverage {
  std::string name;
  bool held = false;
  double squares = 0.0;     ///< squared error / stated variance, a degree of freedom: 1 on average where all is right
  double half_width = 0.0;  ///< of the interval, in the unit that the name ends with; 0: it has more than one
};

/// What the verdict on a map claims, and how that is in truth.
struct ClaimScore {
  MapVerdict verdict;
  double places_told_m = 0.0;  ///< 19 of 20 places lie within this, scale apart, as a good map's verdict says
  double places_m = 0.0;       ///< within which 19 of 20 scans lie, aligned with scale
  double scale_told = 0.0;     ///< lengths are right to this fraction
  double scale_off = 0.0;      ///< by which they are off, without a sign
  double poses_held = 0.0;     ///< share of the nodes whose stated 95 % region against the first node holds the truth
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
  ClaimScore claims;
  std::vector<std::string> warnings;  ///< of the map
  /// Greatest memory of building and of the returns of the drive, MB; means something only where nothing else
  /// runs in the process.
  double peak_mb = 0.0;
  std::string failure;  ///< why there is no map; empty: there is one
};

/// What robot.yaml says of a simulated robot: all that is known of it, or neither wheels nor the lidar's mounting.
enum class Stated { all, no_constants };

/// The drive as `build` takes it, after it was written to a folder and read back. Throws as drive_to_map() does.
Drive written_and_read(const simulator::SimulatedDrive& simulated, const simulator::RobotSpec& robot,
                       Stated stated = Stated::all);

/// Simulates the plan, writes it as a drive folder (a temporary one), reads that, maps it on one thread and scores the
/// map. A drive that cannot be mapped is told in `failure`.
HouseScore score_house(const simulator::Plan& plan, std::uint64_t house, Stated stated = Stated::all);

/// One case of each kind a house, so that houses are independent cases: that in the middle.
std::vector<Coverage> score_coverage(const Map& map, const simulator::Truth& truth, const WallScore& walls);

}  // namespace wainscot::bench
