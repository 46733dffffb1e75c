#include "graph/markers/marker_closures.hpp"

#include <cmath>
#include <map>

#include <Eigen/Dense>

#include "core/square.hpp"

namespace wainscot {
namespace {

// Where the camera sits and how far it sees things is not known exactly: what two sightings on different visits do not
// share beyond their noise (common practice, no source).
constexpr double kCameraM = 0.02;
constexpr double kCameraRad = 0.02;

double place_variance(const NodeSighting& s) { return square(s.sd_m) + square(kCameraM); }

Pose2 marker_pose(const NodeSighting& sighting) {
  return {sighting.at_m.x(), sighting.at_m.y(), sighting.heading_rad.value_or(0.0)};
}

Eigen::Matrix3d marker_covariance(const NodeSighting& s) {
  const double place = place_variance(s);
  return Eigen::Vector3d(place, place, square(s.sd_rad) + square(kCameraRad)).asDiagonal();
}

/// How the earlier sighting's place moves in the later node's frame when that node moves by a tangent.
Eigen::Matrix<double, 2, 3> by_later_node(const Eigen::Vector2d& at) {
  Eigen::Matrix<double, 2, 3> by_tangent;
  by_tangent << -1.0, 0.0, at.y(), 0.0, -1.0, -at.x();
  return by_tangent;
}

/// The measurement of the whole pose, weighed with the prediction.
MarkerWord with_headings(const NodeSighting& earlier, const NodeSighting& later, const Pose2& predicted,
                         const Eigen::Matrix3d& covariance) {
  const Pose2 measured = marker_pose(earlier) * inverse(marker_pose(later));
  const Eigen::Matrix3d carry = adjoint(marker_pose(later));
  const Eigen::Matrix3d noise = carry * (marker_covariance(earlier) + marker_covariance(later)) * carry.transpose();
  Pose2 error = between(predicted, measured);
  error.heading_rad = wrap_angle(error.heading_rad);
  const Tangent2 innovation = log(error);
  const Eigen::Matrix3d gain = covariance * (covariance + noise).inverse();
  MarkerWord word;
  word.pose = predicted * exp(gain * innovation);
  word.covariance = (Eigen::Matrix3d::Identity() - gain) * covariance;
  word.chi_squared = innovation.dot((covariance + noise).ldlt().solve(innovation));
  word.degrees = 3;
  return word;
}

}  // namespace

std::vector<MarkerPair> marker_pairs(const std::vector<NodeSighting>& sightings, const std::vector<double>& ways_m,
                                     const MarkerPairOptions& options) {
  struct Visit {
    std::size_t nearest;  // index into sightings
    double last_way_m;
  };
  const auto distance = [&](std::size_t i) { return (sightings[i].at_m - sightings[i].robot.translation()).norm(); };
  std::map<std::size_t, std::vector<Visit>> visits_of;  // by marker
  for (std::size_t i = 0; i < sightings.size(); ++i) {
    std::vector<Visit>& visits = visits_of[sightings[i].marker];
    const double way_m = ways_m[sightings[i].node];
    if (visits.empty() || way_m - visits.back().last_way_m > options.min_way_m) visits.push_back({i, way_m});
    Visit& visit = visits.back();
    visit.last_way_m = way_m;
    if (distance(i) < distance(visit.nearest)) visit.nearest = i;
  }
  std::vector<MarkerPair> pairs;
  for (const auto& [marker, visits] : visits_of) {
    for (std::size_t v = 1; v < visits.size(); ++v) {
      pairs.push_back({visits[v - 1].nearest, visits[v].nearest});
      if (v > 1) pairs.push_back({visits[0].nearest, visits[v].nearest});
    }
  }
  return pairs;
}

std::optional<MarkerWord> word_of_marker(const NodeSighting& earlier, const NodeSighting& later, const Pose2& predicted,
                                         const Eigen::Matrix3d& covariance) {
  constexpr double kMostTurnSdRad = 0.25;  // what is linear in the turn
  if (earlier.heading_rad && later.heading_rad) return with_headings(earlier, later, predicted, covariance);
  if (covariance(2, 2) > square(kMostTurnSdRad)) return std::nullopt;
  const Eigen::Vector2d expected = inverse(predicted) * earlier.at_m;
  const Eigen::Matrix<double, 2, 3> by_tangent = by_later_node(expected);
  const Eigen::Matrix2d noise = (place_variance(earlier) + place_variance(later)) * Eigen::Matrix2d::Identity();
  const Eigen::Vector2d innovation = later.at_m - expected;
  const Eigen::Matrix2d spread = by_tangent * covariance * by_tangent.transpose() + noise;
  const Eigen::Matrix<double, 3, 2> gain = covariance * by_tangent.transpose() * spread.inverse();
  MarkerWord word;
  word.pose = predicted * exp(gain * innovation);
  word.covariance = (Eigen::Matrix3d::Identity() - gain * by_tangent) * covariance;
  word.chi_squared = innovation.dot(spread.ldlt().solve(innovation));
  word.degrees = 2;
  return word;
}

MarkerWord word_with_turn(const NodeSighting& earlier, const NodeSighting& later, double turn_rad, double turn_sd_rad) {
  const Eigen::Vector2d at = earlier.at_m - Pose2{0.0, 0.0, turn_rad} * later.at_m;
  MarkerWord word;
  word.pose = {at.x(), at.y(), turn_rad};
  const Eigen::Matrix<double, 2, 3> by_tangent = by_later_node(later.at_m);
  const double variance = place_variance(earlier) + place_variance(later);
  Eigen::Matrix3d information = by_tangent.transpose() * by_tangent / variance;
  information(2, 2) += 1.0 / square(turn_sd_rad);
  word.covariance = information.inverse();
  return word;
}

}  // namespace wainscot
