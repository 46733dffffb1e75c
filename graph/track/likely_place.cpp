#include "graph/track/likely_place.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/track/match_surprise.hpp"
#include "graph/track/search_samples.hpp"
#include "scanmatch/correlative.hpp"

namespace wainscot {
namespace {

/// The most likely pose between the prediction and what was found.
Pose2 fused(const Pose2& predicted, const Eigen::Matrix3d& prior, const IcpResult& found) {
  Pose2 error = between(predicted, found.pose);
  error.heading_rad = wrap_angle(error.heading_rad);
  const Tangent2 difference = log(error);
  return predicted * exp((prior + found.information).ldlt().solve(found.information * difference));
}

/// What the robot can have done since the last keyframe.
struct Reach {
  Pose2 led;                  ///< where odometry leads, in the last keyframe's frame
  SearchWindow near_heading;  ///< as far as odometry allows or a hand pushes, and turned by little
  SearchWindow window;        ///< turned by as much as a hand turns, too
  SearchWindow turned;        ///< and what was driven after the turn laid elsewhere by it, by the turn's chord at most
};

Reach reach_of(const Pose2& from, const PredictedStep& step, const ReachOptions& options) {
  const double sd_m = std::sqrt(std::max(step.covariance(0, 0), step.covariance(1, 1)));
  Reach reach;
  reach.led = between(from, step.predicted);
  SearchWindow& window = reach.window;
  window.half_x_m = window.half_y_m = std::clamp(3.0 * sd_m, options.least_m, options.widest_m);
  window.half_heading_rad = std::clamp(3.0 * std::sqrt(step.covariance(2, 2)), options.least_rad, std::numbers::pi);
  reach.near_heading = reach.turned = window;
  reach.near_heading.half_heading_rad = options.near_rad;
  const double chord_m = 2.0 * std::sin(0.5 * window.half_heading_rad) * reach.led.translation().norm();
  reach.turned.half_x_m = reach.turned.half_y_m = std::min(window.half_x_m + chord_m, options.widest_m);
  return reach;
}

/// Whether one turn, anywhere on the way from the last keyframe, leads to within the window of a place: what was driven
/// after the turn is turned with it, so that most of what lies further away than the window is out of reach.
bool is_where_a_turn_leads(const Pose2& from, const Pose2& found, const Reach& reach) {
  const Pose2 lies = between(from, found);
  const Eigen::Vector2d led = reach.led.translation();
  const Eigen::Vector2d off = lies.translation() - led;
  const Eigen::Vector2d chord = Eigen::Rotation2Dd(lies.heading_rad - reach.led.heading_rad) * led - led;
  const double part = std::clamp(off.dot(chord) / std::max(chord.squaredNorm(), 1e-12), 0.0, 1.0);
  return (off - part * chord).norm() < reach.window.half_x_m;
}

/// Logarithm of odometry's likelihood of a pose: a gaussian, and rarely anything within reach. Both are densities,
/// stated as multiples of the gaussian's height.
double odometry_log_likelihood(const IcpResult& found, const PredictedStep& step, const SearchWindow& reach,
                               double event_rate) {
  const double chi = std::min(chi_squared_of(found, step.predicted, step.covariance), 700.0);
  const double volume = 8.0 * reach.half_x_m * reach.half_y_m * reach.half_heading_rad;
  const double spread = std::pow(2.0 * std::numbers::pi, 1.5) * std::sqrt(step.covariance.determinant()) / volume;
  return std::log((1.0 - event_rate) * std::exp(-0.5 * chi) + event_rate * std::min(spread, 1.0));
}

/// Matches from the best places within reach: one near odometry's heading, one anywhere near, one further away.
std::vector<IcpResult> searched(const std::vector<ScanPoint>& points, const LocalWalls& walls,
                                const PredictedStep& step, const IcpOptions& icp, const Reach& reach) {
  const double radius_m = search_radius_m(points);
  CorrelativeOptions raster_options;
  if (radius_m > 12.0) {
    raster_options.cell_m = 0.1;
    raster_options.blur_m = 0.12;
  }
  const LikelihoodRaster raster(
      samples_near(walls.lines, walls.oldest_node, step.predicted.translation(), radius_m + reach.turned.half_x_m),
      raster_options);
  const std::vector<Eigen::Vector2d> ends = ends_within(points, radius_m);
  std::vector<IcpResult> found;
  for (const SearchWindow& window : {reach.near_heading, reach.window, reach.turned}) {
    const auto match = raster.search(ends, step.predicted, window);
    if (!match || !is_where_a_turn_leads(walls.poses.back(), match->pose, reach)) continue;
    // The search's own word (four of its cells) keeps a scan that hardly fits from sliding away.
    const Eigen::Vector3d near(1.0 / (0.2 * 0.2), 1.0 / (0.2 * 0.2), 1.0 / (0.1 * 0.1));
    found.push_back(match_icp(points, walls.lines, walls.noise, match->pose, near.asDiagonal(), icp));
    if (chi_squared_of(found.back(), step.predicted, step.covariance) <= kPoseGate) {
      // Along a corridor the search ends anywhere: what the walls leave open stays with odometry.
      const Eigen::Matrix3d prior = step.covariance.inverse();
      const Pose2 both = fused(step.predicted, prior, found.back());
      found.back() = match_icp(points, walls.lines, walls.noise, both, prior, icp);
    }
  }
  return found;
}

}  // namespace

Eigen::Vector3d variance_within(const ReachOptions& reach) {
  return Eigen::Vector3d(reach.least_m, reach.least_m, reach.least_rad).cwiseAbs2() / 3.0;
}

bool holds_loosely(const IcpResult& found) {
  // Chosen by hand, twice what keyframes calls open: a match that leaves more than 10 cm or 3 degrees hangs on odometry
  // alone. Half as much asks for other places in every corridor, which takes time; twice as much keeps wrong ones.
  constexpr double kLooseM = 0.1;
  constexpr double kLooseRad = 0.05;
  const LeftOpen open = left_open(found.information);
  return open.position_m > kLooseM || open.heading_rad > kLooseRad;
}

IcpResult most_likely_place(const std::vector<ScanPoint>& points, const LocalWalls& walls, const PredictedStep& step,
                            const IcpOptions& icp, const IcpResult& from_odometry, const ReachOptions& options) {
  const Reach reach = reach_of(walls.poses.back(), step, options);
  const SeenSpace space = walls.seen(step.predicted.translation(), search_radius_m(points) + reach.turned.half_x_m);
  const auto worth = [&](const IcpResult& found) {
    return wall_evidence(points, found.pose, walls, space).log_likelihood() +
           odometry_log_likelihood(found, step, reach.window, options.event_rate);
  };
  IcpResult best = from_odometry;
  double most = worth(best) + options.margin;
  for (const IcpResult& found : searched(points, walls, step, icp, reach)) {
    const double value = worth(found);
    if (value <= most) continue;
    if (holds_loosely(found) && chi_squared_of(found, step.predicted, step.covariance) > kPoseGate) continue;
    most = value;
    best = found;
  }
  return best;
}

bool is_possible(const IcpResult& found, const std::vector<ScanPoint>& points, const PredictedStep& step,
                 const LocalWalls& walls, double least_overlap) {
  if (found.overlap < least_overlap) return false;
  if (chi_squared_of(found, step.predicted, step.covariance) <= kNoNoise) return true;
  const SeenSpace space = walls.seen(found.pose.translation(), search_radius_m(points) + 1.0);
  return !wall_evidence(points, found.pose, walls, space).is_contradicted();
}

}  // namespace wainscot
