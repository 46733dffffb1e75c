#include "graph/live/moment_warnings.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "graph/track/keyframes.hpp"

namespace wainscot {
namespace {

// A second of a lidar that turns ten times in it, and half of it: what lasts so long is no single odd scan, and a
// driver still knows what was meant. Chosen by hand.
constexpr std::size_t kScans = 10;
constexpr std::size_t kMany = kScans / 2;  // the half

}  // namespace

void MomentWarnings::add(const TrackedScan& scan) {
  last_.push_back({scan.scan, scan.time_s, scan.by, scan.left_open, scan.speed});
  if (last_.size() > kScans) last_.pop_front();
}

std::vector<std::string> MomentWarnings::now() const {
  std::vector<std::string> warnings;
  if (last_.size() < kScans) return warnings;
  const auto count = [this](const auto& holds) {
    return static_cast<std::size_t>(std::count_if(last_.begin(), last_.end(), holds));
  };
  // Neighbouring nodes of a map are to see nearly the same walls: by then each scan has to be a node.
  const TrackingOptions nodes;
  const double interval_s =
      (last_.back().time_s - last_.front().time_s) / static_cast<double>(last_.back().number - last_.front().number);
  const auto turn_rad = [interval_s](const Seen& s) { return std::abs(s.speed.z()) * interval_s; };
  const auto way_m = [interval_s](const Seen& s) { return s.speed.head<2>().norm() * interval_s; };
  if (count([&](const Seen& s) { return turn_rad(s) > nodes.keyframe_turn_rad; }) >= kMany) {
    warnings.push_back(fmt::format(
        "Turning too fast: more than {:.0f} degrees from scan to scan; turn at less than {:.0f} degrees a second.",
        nodes.keyframe_turn_rad * 180.0 / std::numbers::pi,
        nodes.keyframe_turn_rad / interval_s * 180.0 / std::numbers::pi));
  }
  if (count([&](const Seen& s) { return way_m(s) > nodes.keyframe_way_m; }) >= kMany) {
    warnings.push_back(
        fmt::format("Too fast: more than {:.1f} m from scan to scan; drive at less than {:.1f} m a second.",
                    nodes.keyframe_way_m, nodes.keyframe_way_m / interval_s));
  }
  if (count([](const Seen& s) { return s.by == TrackedBy::odometry || s.by == TrackedBy::new_surroundings; }) >=
      kMany) {
    warnings.emplace_back(
        "What the lidar sees fits nothing seen before: people around it, a lidar that tilts, or the robot was carried. "
        "Stop, and drive on from a place that it has seen.");
  } else if (count([](const Seen& s) { return s.by == TrackedBy::walls_only; }) > 0) {
    warnings.emplace_back(
        "Wheels and scans disagree: the wheels slipped, or somebody moved the robot. Drive slowly, away from "
        "thresholds.");
  }
  if (count([](const Seen& s) { return s.left_open; }) == kScans) {
    warnings.emplace_back(
        "Too little seen: the walls do not tell how far along them the robot is. Keep to where ends or corners are in "
        "sight.");
  }
  const std::size_t left_out = last_.back().number - last_.front().number + 1 - last_.size();
  if (left_out >= kMany) {
    warnings.push_back(fmt::format("Too little seen: {} of the last {} scans have fewer than 20 returns.", left_out,
                                   left_out + last_.size()));
  }
  return warnings;
}

}  // namespace wainscot
