#include "io/convert/direction_guess.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/angles.hpp"

namespace wainscot {
namespace {

// How often, before anything was seen: common practice of hobby robots, no source. Only their order and rough size
// matter; what the odds leave open is told as a doubt.
constexpr double kMirrored = 0.35;        // many lidars count clockwise
constexpr double kSwappedUnnamed = 0.10;  // people write left before right
constexpr double kSwappedNamed = 0.004;
constexpr double kOdometryMirrored = 0.02;
constexpr double kOneBackwards = 0.05;  // of two motors that face each other
constexpr double kBothBackwards = 0.02;
constexpr double kGyroBackwards = 0.12;  // soldered upside down
constexpr double kLookingBack = 0.15;    // a lidar that is told to begin in front and points backwards

/// The odds of a lidar's heading, where the log says where its angles begin.
double odds_of_heading(double heading_rad, bool told) {
  if (!told) return 0.5;
  return std::abs(wrap_angle(heading_rad)) < 0.5 * std::numbers::pi ? 1.0 - kLookingBack : kLookingBack;
}

void weigh(const DirectionEvidence& evidence, Direction& d) {
  d.odds = d.mirrored ? kMirrored : 1.0 - kMirrored;
  if (evidence.fit) {
    double swapped = evidence.odometry ? kOdometryMirrored : kSwappedUnnamed;
    if (evidence.odometry && evidence.flipped) swapped = 0.5;
    if (!evidence.odometry && evidence.names == 1) swapped = kSwappedNamed;
    if (!evidence.odometry && evidence.names == -1) swapped = 1.0 - kSwappedNamed;
    d.odds *= d.swapped ? swapped : 1.0 - swapped;
    const bool both = d.left_backwards && d.right_backwards;
    d.odds *= both ? kBothBackwards : d.left_backwards || d.right_backwards ? kOneBackwards : 1.0;
    d.odds *= odds_of_heading(d.mounting.heading_rad, evidence.angles_told);
  }
  if (evidence.gyro_against_lidar) d.odds *= d.gyro_backwards ? kGyroBackwards : 1.0 - kGyroBackwards;
}

/// The four ways to read a fit (see graph/check/explanation.hpp): as it is, in a mirror, and both with the back taken
/// for the front.
Direction read_fit(const RobotFit& fit, bool mirrored, bool swapped) {
  Direction d;
  d.mirrored = mirrored;
  d.swapped = swapped;
  double left = swapped ? fit.right_m_per_tick : fit.left_m_per_tick;
  double right = swapped ? fit.left_m_per_tick : fit.right_m_per_tick;
  const Pose2& m = fit.mounting;
  d.mounting = m;
  if (mirrored != swapped) {  // a turn to the left is one to the right: with the counts the other way
    left = -left;
    right = -right;
  }
  constexpr double kHalfTurn = std::numbers::pi;
  if (mirrored && swapped) d.mounting = {m.x_m, -m.y_m, -m.heading_rad};
  if (mirrored && !swapped) d.mounting = {-m.x_m, m.y_m, kHalfTurn - m.heading_rad};
  if (!mirrored && swapped) d.mounting = {-m.x_m, -m.y_m, kHalfTurn + m.heading_rad};
  d.mounting.heading_rad = wrap_angle(d.mounting.heading_rad);
  d.left_backwards = left < 0.0;
  d.right_backwards = right < 0.0;
  d.left_m_per_tick = std::abs(left);
  d.right_m_per_tick = std::abs(right);
  return d;
}

}  // namespace

std::vector<Direction> directions(const DirectionEvidence& evidence) {
  std::vector<Direction> all;
  for (const bool mirrored : {false, true}) {
    if (evidence.fit) {
      all.push_back(read_fit(*evidence.fit, mirrored, false));
      all.push_back(read_fit(*evidence.fit, mirrored, true));
    } else {
      all.emplace_back();
      all.back().mirrored = mirrored;
    }
  }
  double sum = 0.0;
  for (Direction& d : all) {
    // A gyro that turns as the lidar does is right where the lidar is.
    if (evidence.gyro_against_lidar) d.gyro_backwards = *evidence.gyro_against_lidar != d.mirrored;
    weigh(evidence, d);
    sum += d.odds;
  }
  for (Direction& d : all) d.odds /= sum;
  std::stable_sort(all.begin(), all.end(), [](const Direction& a, const Direction& b) { return a.odds > b.odds; });
  return all;
}

}  // namespace wainscot
