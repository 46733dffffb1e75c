#pragma once

// How often, and by how much, the robot slips, by the matches of one drive.

#include <cstddef>

#include <Eigen/Core>

#include "graph/track/predicted_step.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {

/// The slips that matches showed, and the steps in which one would have shown.
class SeenSlips {
 public:
  /// A match that is believed, and that leaves no direction open. It showed a slip where it is further from odometry
  /// than any noise is (kNoNoise).
  void add(const PredictedStep& step, const IcpResult& found);

  /// Mean square of what a step slips: along, across (m2), heading (rad2). Zero where none was seen.
  Eigen::Vector3d variance_of_a_step() const;

 private:
  std::size_t steps_ = 0;
  Eigen::Vector3d squares_ = Eigen::Vector3d::Zero();
};

}  // namespace wainscot
