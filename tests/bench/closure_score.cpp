#include "tests/bench/closure_score.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "apps/simulator/ray_caster.hpp"
#include "tests/bench/true_pose.hpp"

namespace wainscot::bench {
namespace {

/// Nodes as the closure's score sees them.
struct Visit {
  Pose2 truth;
  double way_m = 0.0;
};

/// The earliest node's index that node `later` sees from nearby, though it has driven on for long since; -1: none.
int earlier_at_this_place(const std::vector<Visit>& visits, std::size_t later, const simulator::RayCaster& walls) {
  constexpr double near_m = 1.0;
  constexpr double long_since_m = 10.0;
  for (std::size_t i = 0; i < later && visits[i].way_m < visits[later].way_m - long_since_m; ++i) {
    const Eigen::Vector2d way = visits[i].truth.translation() - visits[later].truth.translation();
    const double distance = way.norm();
    if (distance > near_m) {
      continue;
    }
    const simulator::Point from = point_of(visits[later].truth.translation());
    if (distance < 0.01 || walls.cast(from, point_of(way / distance), distance, true).face < 0) {
      return static_cast<int>(i);
    }
  }
  return -1;
}

/// Nodes of one stretch of the drive that comes back somewhere.
struct Revisit {
  std::size_t first = 0;
  std::size_t last = 0;
};

std::vector<Revisit> revisits_of(const std::vector<Visit>& visits, const simulator::RayCaster& walls) {
  constexpr double one_stretch_m = 3.0;  // a stretch ends where nothing earlier is near for this way
  std::vector<Revisit> result;
  for (std::size_t i = 0; i < visits.size(); ++i) {
    if (earlier_at_this_place(visits, i, walls) < 0) {
      continue;
    }
    if (!result.empty() && visits[i].way_m - visits[result.back().last].way_m < one_stretch_m) {
      result.back().last = i;
    } else {
      result.push_back({i, i});
    }
  }
  return result;
}

}  // namespace

ClosureScore score_closures(const Map& map, const simulator::Truth& truth, const std::optional<Pose2>& stated_lidar) {
  const Pose2 as_stated = stated_lidar.value_or(Pose2{});
  const Pose2 true_lidar = stated_lidar ? Pose2{truth.lidar.x_m, truth.lidar.y_m, truth.lidar.heading_rad} : Pose2{};
  ClosureScore score;
  std::vector<Visit> visits;
  for (const Node& node : map.graph.nodes) {
    Visit visit{true_pose(truth.trajectory, node.time_s), 0.0};
    if (!visits.empty()) {
      visit.way_m = visits.back().way_m + (visit.truth.translation() - visits.back().truth.translation()).norm();
    }
    visits.push_back(visit);
  }
  const simulator::RayCaster walls(truth.surfaces);
  const std::vector<Revisit> revisits = revisits_of(visits, walls);
  std::vector<bool> closed(revisits.size(), false);
  for (const LoopCandidate& candidate : map.candidates) {
    if (candidate.verdict != Verdict::accepted) {
      continue;
    }
    const Pose2 from = visits[candidate.from].truth * true_lidar;
    const Pose2 to = visits[candidate.to].truth * true_lidar;
    const Pose2 found = between(as_stated, candidate.found * as_stated);
    const Pose2 error = between(between(from, to), found);
    const bool right =
        error.translation().norm() <= kWrongClosure_m && std::abs(wrap_angle(error.heading_rad)) <= kWrongClosure_rad;
    ++(right ? score.right : score.wrong);
    for (std::size_t i = 0; i < revisits.size(); ++i) {
      // A closure a few nodes beside the stretch joins it as well.
      const bool here = candidate.to + 5 >= revisits[i].first && candidate.to <= revisits[i].last + 5;
      closed[i] = closed[i] || (right && here);
    }
  }
  score.revisits = static_cast<int>(revisits.size());
  score.revisits_closed = static_cast<int>(std::count(closed.begin(), closed.end(), true));
  return score;
}

}  // namespace wainscot::bench
