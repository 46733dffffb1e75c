#include "core/drift_rate.hpp"

#include <cmath>
#include <vector>

#include <Eigen/Core>

namespace wainscot {
namespace {

struct Stretch {
  double way_m = 0.0;
  double turn_rad = 0.0;
  double way_difference_m = 0.0;
  double turn_difference_rad = 0.0;
};

std::vector<Stretch> cut_into_stretches(std::span<const PosePair> pairs, const DriftRateOptions& options) {
  std::vector<Stretch> stretches;
  Stretch current;
  double moved_m = 0.0;
  double turned_rad = 0.0;
  for (std::size_t i = 1; i < pairs.size(); ++i) {
    const Tangent2 truth = log(between(pairs[i - 1].truth, pairs[i].truth));
    const Tangent2 estimate = log(between(pairs[i - 1].estimate, pairs[i].estimate));
    const double turn_rad = wrap_angle(truth.z());
    current.way_m += truth.x();
    current.turn_rad += turn_rad;
    current.way_difference_m += estimate.x() - truth.x();
    current.turn_difference_rad += wrap_angle(estimate.z() - truth.z());
    moved_m += truth.head<2>().norm();
    turned_rad += std::abs(turn_rad);
    if (moved_m >= options.stretch_m || turned_rad >= options.stretch_rad) {
      stretches.push_back(current);
      current = {};
      moved_m = 0.0;
      turned_rad = 0.0;
    }
  }
  return stretches;
}

}  // namespace

DriftRate drift_rate(std::span<const PosePair> pairs, const DriftRateOptions& options) {
  const std::vector<Stretch> stretches = cut_into_stretches(pairs, options);
  DriftRate result;
  result.stretches = stretches.size();
  if (stretches.size() < 2) {
    return result;
  }
  double way2 = 0.0;
  double turn2 = 0.0;
  double way_turn = 0.0;
  double way_longer = 0.0;
  double way_turned = 0.0;
  double turn_turned = 0.0;
  for (const Stretch& s : stretches) {
    way2 += s.way_m * s.way_m;
    turn2 += s.turn_rad * s.turn_rad;
    way_turn += s.way_m * s.turn_rad;
    way_longer += s.way_m * s.way_difference_m;
    way_turned += s.way_m * s.turn_difference_rad;
    turn_turned += s.turn_rad * s.turn_difference_rad;
  }
  // A millimetre and a milliradian in all tell nothing.
  const bool way_tells = way2 > 1e-6;
  const bool turn_tells = turn2 > 1e-6;
  const double determinant = way2 * turn2 - way_turn * way_turn;
  if (way_tells) {
    result.way_m_per_m = way_longer / way2;
  }
  if (way_tells && turn_tells && determinant > 1e-9 * way2 * turn2) {
    result.heading_rad_per_m = (turn2 * way_turned - way_turn * turn_turned) / determinant;
    result.heading_rad_per_rad = (way2 * turn_turned - way_turn * way_turned) / determinant;
  } else if (way_tells) {
    result.heading_rad_per_m = way_turned / way2;
  } else if (turn_tells) {
    result.heading_rad_per_rad = turn_turned / turn2;
  }
  return result;
}

}  // namespace wainscot
