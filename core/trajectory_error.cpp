#include "core/trajectory_error.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

#include "core/pose_pairs.hpp"

namespace wainscot {
namespace {

struct Similarity {
  Pose2 motion;
  double scale = 1.0;
};

/// Minimises sum |truth - (scale * R * estimate + t)|^2.
Similarity best_alignment(const std::vector<PosePair>& pairs, Alignment alignment) {
  const double count = static_cast<double>(pairs.size());
  Eigen::Vector2d estimate_mean = Eigen::Vector2d::Zero();
  Eigen::Vector2d truth_mean = Eigen::Vector2d::Zero();
  for (const PosePair& pair : pairs) {
    estimate_mean += pair.estimate.translation() / count;
    truth_mean += pair.truth.translation() / count;
  }
  double dot = 0.0;
  double cross = 0.0;
  double estimate_spread = 0.0;
  double heading_cosine = 0.0;
  double heading_sine = 0.0;
  for (const PosePair& pair : pairs) {
    const Eigen::Vector2d e = pair.estimate.translation() - estimate_mean;
    const Eigen::Vector2d t = pair.truth.translation() - truth_mean;
    dot += e.dot(t);
    cross += e.x() * t.y() - e.y() * t.x();
    estimate_spread += e.squaredNorm();
    const double turn = pair.truth.heading_rad - pair.estimate.heading_rad;
    heading_cosine += std::cos(turn);
    heading_sine += std::sin(turn);
  }
  Similarity result;
  const double strength = std::hypot(dot, cross);
  // Below a tenth of a micrometre squared the positions coincide but for rounding, and tell no direction.
  const bool positions_tell = strength > 1e-14 * count;
  result.motion.heading_rad = positions_tell ? std::atan2(cross, dot) : std::atan2(heading_sine, heading_cosine);
  if (alignment == Alignment::with_scale && positions_tell) {
    result.scale = strength / estimate_spread;
  }
  const Eigen::Vector2d shift = truth_mean - result.scale * (result.motion.rotation() * estimate_mean);
  result.motion.x_m = shift.x();
  result.motion.y_m = shift.y();
  return result;
}

struct Figures {
  double rms = 0.0;
  double median = 0.0;
  double max = 0.0;
};

/// Of absolute values; the median of an even number is the mean of the two in the middle.
Figures figures_of(std::vector<double> values) {
  Figures result;
  if (values.empty()) {
    return result;
  }
  for (double& value : values) {
    value = std::abs(value);
    result.rms += value * value;
  }
  result.rms = std::sqrt(result.rms / static_cast<double>(values.size()));
  std::sort(values.begin(), values.end());
  const std::size_t middle = values.size() / 2;
  result.median = values.size() % 2 == 1 ? values[middle] : 0.5 * (values[middle - 1] + values[middle]);
  result.max = values.back();
  return result;
}

template <typename Errors>  // absolute or relative: both have the same figures
void summarise(std::vector<double> positions_m, std::vector<double> headings_rad, Errors& result) {
  const Figures position = figures_of(std::move(positions_m));
  const Figures heading = figures_of(std::move(headings_rad));
  result.position_rmse_m = position.rms;
  result.position_median_m = position.median;
  result.position_max_m = position.max;
  result.heading_rmse_rad = heading.rms;
  result.heading_max_rad = heading.max;
}

/// Over stretches that begin at each pair and end at the first later one where `progress` has grown by `stretch`.
RelativePoseError relative_error(const std::vector<PosePair>& pairs, const std::vector<double>& progress,
                                 double stretch) {
  if (!(stretch > 0.0)) {
    throw std::invalid_argument("the stretch of a relative pose error must be positive");
  }
  std::vector<double> positions;
  std::vector<double> headings;
  std::size_t end = 0;
  for (std::size_t begin = 0; begin < pairs.size(); ++begin) {
    while (end < pairs.size() && progress[end] - progress[begin] < stretch) {
      ++end;
    }
    if (end == pairs.size()) {
      break;
    }
    const Pose2 error =
        between(between(pairs[begin].truth, pairs[end].truth), between(pairs[begin].estimate, pairs[end].estimate));
    positions.push_back(error.translation().norm());
    headings.push_back(wrap_angle(error.heading_rad));
  }
  RelativePoseError result;
  result.pairs = positions.size();
  summarise(std::move(positions), std::move(headings), result);
  return result;
}

}  // namespace

AlignedPath aligned_path(std::span<const TimedPose> estimate, std::span<const TimedPose> truth, Alignment alignment) {
  const std::vector<PosePair> pairs = paired_by_time(estimate, truth);
  if (pairs.size() < 2) {
    throw std::invalid_argument("fewer than two poses fall inside the times of the truth");
  }
  const Similarity aligned = best_alignment(pairs, alignment);
  AlignedPath result{aligned.motion, aligned.scale, {}};
  result.poses.reserve(pairs.size());
  for (const PosePair& pair : pairs) {
    const Eigen::Vector2d place = aligned.motion * Eigen::Vector2d(aligned.scale * pair.estimate.translation());
    result.poses.push_back(
        {pair.time_s, {place.x(), place.y(), aligned.motion.heading_rad + pair.estimate.heading_rad}, pair.truth});
  }
  return result;
}

TrajectoryError absolute_trajectory_error(std::span<const TimedPose> estimate, std::span<const TimedPose> truth,
                                          Alignment alignment) {
  const AlignedPath aligned = aligned_path(estimate, truth, alignment);
  std::vector<double> positions;
  std::vector<double> headings;
  for (const PosePair& pair : aligned.poses) {
    positions.push_back((pair.estimate.translation() - pair.truth.translation()).norm());
    headings.push_back(wrap_angle(pair.estimate.heading_rad - pair.truth.heading_rad));
  }
  TrajectoryError result;
  result.pairs = aligned.poses.size();
  result.outside_truth = estimate.size() - aligned.poses.size();
  result.alignment = aligned.alignment;
  result.scale = aligned.scale;
  summarise(std::move(positions), std::move(headings), result);
  return result;
}

RelativePoseError relative_error_by_way(std::span<const TimedPose> estimate, std::span<const TimedPose> truth,
                                        double way_m) {
  const std::vector<PosePair> pairs = paired_by_time(estimate, truth);
  std::vector<double> way(pairs.size(), 0.0);
  for (std::size_t i = 1; i < pairs.size(); ++i) {
    way[i] = way[i - 1] + (pairs[i].truth.translation() - pairs[i - 1].truth.translation()).norm();
  }
  return relative_error(pairs, way, way_m);
}

RelativePoseError relative_error_by_turn(std::span<const TimedPose> estimate, std::span<const TimedPose> truth,
                                         double turn_rad) {
  const std::vector<PosePair> pairs = paired_by_time(estimate, truth);
  std::vector<double> turned(pairs.size(), 0.0);
  for (std::size_t i = 1; i < pairs.size(); ++i) {
    turned[i] = turned[i - 1] + std::abs(wrap_angle(pairs[i].truth.heading_rad - pairs[i - 1].truth.heading_rad));
  }
  return relative_error(pairs, turned, turn_rad);
}

}  // namespace wainscot
