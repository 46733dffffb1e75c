#pragma once

// What the joint adjustment made of a few pieces of wall, as values that can be tried again: the returns on them, each
// with the robot's pose and velocity at its moment, so that any other place, range offset or clock of the lidar tells
// where they would have landed. The path stays as it was found, whereas the adjustment moves it too.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "core/pose2.hpp"
#include "graph/adjust/joint_adjustment.hpp"

namespace wainscot {

/// Which way the robot turned at a moment: faster than AdjustmentTrace::fast_turn_rad_s, else it counts as straight.
enum class Turning : std::uint8_t { left, straight, right };
inline constexpr std::size_t kTurnings = 3;  // as many as are listed above

/// Those constants of the lidar that can be tried, as in robot.yaml (the heading in rad).
struct TriedConstants {
  Pose2 mounting;  ///< in the robot's frame
  double range_offset_m = 0.0;
  double time_offset_s = 0.0;
};

struct TracedReturn {
  Pose2 robot;                           ///< map frame, at the moment of the beam by the clock that was found
  Tangent2 velocity = Tangent2::Zero();  ///< there, robot's frame
  double angle_rad = 0.0;                ///< of the beam, lidar's frame
  double range_m = 0.0;                  ///< with the range scale that was found, without an offset
  Turning turning = Turning::straight;
};

struct TracedPiece {
  Eigen::Vector2d anchor_m = Eigen::Vector2d::Zero();
  Eigen::Vector2d normal = Eigen::Vector2d::UnitX();  ///< unit, to the side that was seen; the tangent is (n.y, -n.x)
  int nodes = 0;                                      ///< from how many places it was seen
  std::size_t returns = 0;                            ///< on it, `left_out` not counted
  std::size_t left_out = 0;                           ///< further than three standard deviations off
  std::vector<TracedReturn> shown;                    ///< 120 at most of each way of turning, those to the left first
};

struct AdjustmentTrace {
  std::vector<TracedPiece> pieces;  ///< at most five, the one that tells most first
  double fast_turn_rad_s = 0.0;     ///< two thirds of how fast this robot turns where it turns, at least 0.25 rad/s
  TriedConstants found;
  TriedConstants stated;
};

/// `path`: of odometry with the adjusted constants. The pieces are those that together tell most of what can be tried
/// (D-optimal design: V. V. Fedorov, "Theory of Optimal Experiments", 1972; chosen one after another), first
/// among those seen in turns both ways, a metre apart. None where no piece was seen from three places.
AdjustmentTrace trace_adjustment(const Drive& drive, const OdometryPath& path, const JointResult& adjusted);

/// Where a return lands, map frame. `found`: see AdjustmentTrace.
Eigen::Vector2d landing_m(const TracedReturn& seen, const TriedConstants& tried, const TriedConstants& found);

/// Distances of the returns from their pieces, each piece fitted anew (offset and slope, least squares). `turning`:
/// only those that were seen thus, else all. Pieces with fewer than three such returns are left out.
std::vector<double> residuals_m(const AdjustmentTrace& trace, const TriedConstants& tried,
                                std::optional<Turning> turning = {});

/// Their root mean square; 0 where there are none.
double thickness_m(const AdjustmentTrace& trace, const TriedConstants& tried, std::optional<Turning> turning = {});

/// Whether enough of the returns (thirty) were seen thus to say anything.
bool seen_in(const AdjustmentTrace& trace, Turning turning);

/// The constants with that heading of the lidar, not far from the tried one, that makes the walls thinnest.
TriedConstants with_best_heading(const AdjustmentTrace& trace, TriedConstants tried, std::optional<Turning> turning);

}  // namespace wainscot
