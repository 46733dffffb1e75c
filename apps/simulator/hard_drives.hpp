#pragma once

// Drives through random homes to which something happens, or that are driven in a hard way.

#include <cstdint>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// Equal rooms with equal furniture on both sides of a corridor.
Plan identical_rooms(std::uint64_t seed);

/// Twice on the way the robot slips by about half a metre at a threshold: its wheels spin, or it slides on.
Plan slip_at_threshold(std::uint64_t seed);

/// Midway the robot is lifted, carried at least three metres and put down, turned anyhow.
Plan lifted_robot(std::uint64_t seed);

/// A lidar that looks ahead only.
Plan narrow_lidar(std::uint64_t seed, double field_deg);

/// Once into every room and back to the start, `tours` times; for any number of tours the same home and robot.
Plan same_tour(std::uint64_t seed, int tours);

/// About an hour from room to room.
Plan one_hour(std::uint64_t seed);

/// A kilometre through a large office building. A scan only every 0.5 to 2 m of way or 30 to 90 degrees of turning, all
/// beams at once, up to 50 m; the robot logs its own odometry, which ends more than 90 degrees off.
Plan sparse_large_building(std::uint64_t seed);

}  // namespace wainscot::simulator
