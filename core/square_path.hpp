#pragma once

// The square-path test of a differential drive: the robot drives the same square several times clockwise and several
// times counter-clockwise, and from where it really ends two kinds of error are told apart that a single direction
// would mix up: a wrong track width, which makes all turns too wide or too narrow, and unequal wheels, which bend the
// straights.
//
// Source: J. Borenstein, L. Feng, "Measurement and correction of systematic odometry errors in mobile robots", IEEE
// Transactions on Robotics and Automation 12(6), 1996.

#include <vector>

#include <Eigen/Core>

namespace wainscot {

/// Return errors, true end minus odometry's end, in the frame of the start (x along the first side), metres.
struct SquareRuns {
  std::vector<Eigen::Vector2d> clockwise;          ///< at least one
  std::vector<Eigen::Vector2d> counter_clockwise;  ///< at least one
  double side_m = 4.0;                             ///< > 0
  double track_width_m = 0.3;                      ///< as odometry had it; > 0
};

struct SquarePathResult {
  Eigen::Vector2d clockwise_centre_m;  ///< centres of gravity of the return errors
  Eigen::Vector2d counter_clockwise_centre_m;
  double alpha_rad = 0.0;             ///< error of each turn by a wrong track width
  double beta_rad = 0.0;              ///< turn in each side by unequal wheels
  double width_ratio = 1.0;           ///< E_b: true / stated track width
  double diameter_ratio = 1.0;        ///< E_d: right wheel / left wheel, beyond the stated ratio
  double left_factor = 1.0;           ///< c_L: new / old metres a tick; the mean of both wheels stays
  double right_factor = 1.0;          ///< c_R
  double largest_systematic_m = 0.0;  ///< E_max,syst: the larger distance of a centre of gravity
};

/// Throws std::invalid_argument where a direction has no run, or a length is not positive.
SquarePathResult square_path(const SquareRuns& runs);

}  // namespace wainscot
