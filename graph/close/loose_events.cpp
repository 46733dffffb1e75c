#include "graph/close/loose_events.hpp"

#include <algorithm>
#include <iterator>

#include <Eigen/Dense>

#include "graph/drift.hpp"
#include "graph/track/likely_place.hpp"

namespace wainscot {
namespace {

/// A wrong match lies anywhere in the window that was searched, the least one here: evenly spread over it.
Eigen::Vector3d variance_of_wrong_match() {
  const ReachOptions reach;
  return Eigen::Vector3d(reach.least_m * reach.least_m, reach.least_m * reach.least_m,
                         reach.least_rad * reach.least_rad) /
         3.0;
}

}  // namespace

std::vector<std::size_t> matched_events(const TrackedPath& tracked) {
  std::vector<std::size_t> events;
  std::set_difference(tracked.jumps.begin(), tracked.jumps.end(), tracked.breaks.begin(), tracked.breaks.end(),
                      std::back_inserter(events));
  return events;
}

std::vector<Edge> with_loose_events(const TrackedPath& tracked) {
  std::vector<Edge> edges = tracked.edges;
  for (const std::size_t node : matched_events(tracked)) {
    Eigen::Matrix3d covariance = edge_covariance(edges[node - 1]);
    covariance.diagonal() += variance_of_wrong_match();
    edges[node - 1].information = covariance.inverse();
  }
  return edges;
}

}  // namespace wainscot
