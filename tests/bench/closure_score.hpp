#pragma once

// Closures of a map of a simulated house against the truth.

#include <optional>

#include "apps/simulator/simulate.hpp"
#include "core/pose2.hpp"
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

/// `stated_lidar`: where robot.yaml puts the lidar, in the robot's frame. Closures are found with that mounting, so
/// that one is right where it puts the lidar right: a lidar that sits 9 cm off moves the robot by up to 18 cm where it
/// came back in the other direction. None: the mounting is stated right.
ClosureScore score_closures(const Map& map, const simulator::Truth& truth,
                            const std::optional<Pose2>& stated_lidar = std::nullopt);

}  // namespace wainscot::bench
