// The information that a match states, against the published Fisher information of a pose from one scan:
//   I = sum J^T J / sigma^2,  J = [-n / (n . v), -r (n . v_perp) / (n . v)],
// n the wall's normal at the hit, v the beam's direction, v_perp it turned by +90 degrees, r the range; singular for
// parallel walls (along them) and for a circle around the robot (heading). A. Censi, "On achievable accuracy for
// range-finder localization", ICRA 2007; A. Censi, "On achievable accuracy for pose tracking", ICRA 2009.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "scanmatch/icp.hpp"
#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

/// Of (x, y, heading) in the frame of the room.
Eigen::Matrix3d published_information(const Room& room, const Pose2& pose, int beams, double sigma_m) {
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();
  for (int i = 0; i < beams; ++i) {
    const double direction = pose.heading_rad + RoomScan{}.first_angle_rad + 2.0 * std::numbers::pi * i / beams;
    const Eigen::Vector2d v(std::cos(direction), std::sin(direction));
    const Eigen::Vector2d v_perp(-v.y(), v.x());
    const Hit hit = room.cast(pose.translation(), v);
    if (hit.range_m >= RoomScan{}.max_range_m) continue;
    const double nv = hit.normal.dot(v);
    const Eigen::RowVector3d j(-hit.normal.x() / nv, -hit.normal.y() / nv, -hit.range_m * hit.normal.dot(v_perp) / nv);
    information += j.transpose() * j / (sigma_m * sigma_m);
  }
  return information;
}

/// The same from the ranges themselves, by central differences.
Eigen::Matrix3d numerical_information(const Room& room, const Pose2& pose, int beams, double sigma_m) {
  constexpr double kStep = 1e-6;
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();
  for (int i = 0; i < beams; ++i) {
    const double angle = RoomScan{}.first_angle_rad + 2.0 * std::numbers::pi * i / beams;
    const auto range = [&](double dx, double dy, double turn) {
      const double direction = pose.heading_rad + turn + angle;
      return room.cast({pose.x_m + dx, pose.y_m + dy}, {std::cos(direction), std::sin(direction)}).range_m;
    };
    if (range(0.0, 0.0, 0.0) >= RoomScan{}.max_range_m) continue;
    const Eigen::RowVector3d j(range(kStep, 0.0, 0.0) - range(-kStep, 0.0, 0.0),
                               range(0.0, kStep, 0.0) - range(0.0, -kStep, 0.0),
                               range(0.0, 0.0, kStep) - range(0.0, 0.0, -kStep));
    information += j.transpose() * j / (4.0 * kStep * kStep * sigma_m * sigma_m);
  }
  return information;
}

/// From the room's axes to the tangent space of the pose.
Eigen::Matrix3d in_tangent_space(const Eigen::Matrix3d& information, const Pose2& pose) {
  Eigen::Matrix3d turn = Eigen::Matrix3d::Identity();
  turn.topLeftCorner<2, 2>() = pose.rotation();
  return turn.transpose() * information * turn;
}

/// The room without noise: dense returns, each line known to the digit.
LineMap exact_map(const Room& room) {
  LineMap map;
  add_points(map, scan_points(room, {}, {3600}), {}, {0.001, 0.0}, 1);
  return map;
}

IcpOptions without_line_error() {
  IcpOptions options;
  options.line_error_m = 0.0;
  return options;
}

/// Largest difference of two information matrices, relative to the standard deviations that they state.
double largest_relative_difference(const Eigen::Matrix3d& a, const Eigen::Matrix3d& b) {
  const Eigen::LLT<Eigen::Matrix3d> root(b);
  const Eigen::Matrix3d half = root.matrixL().solve(a);
  const Eigen::Matrix3d whitened = root.matrixL().solve(half.transpose());
  return (whitened - Eigen::Matrix3d::Identity()).cwiseAbs().maxCoeff();
}

double smallest_over_largest(const Eigen::Matrix3d& information) {
  const Eigen::Vector3d eigenvalues = Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(information).eigenvalues();
  return eigenvalues(0) / eigenvalues(2);
}

TEST(OutsideMatchCovariance, ThePublishedFormulaIsTheDerivativeOfTheRanges) {
  for (const Room& room : {rectangle(5.0, 4.0), furnished_room(), corridor(1.6), round_room(2.0)}) {
    const Pose2 pose{0.2, -0.1, 0.3};
    const Eigen::Matrix3d published = published_information(room, pose, 360, 0.015);
    const Eigen::Matrix3d numerical = numerical_information(room, pose, 360, 0.015);
    EXPECT_LT((published - numerical).norm(), 1e-6 * published.norm());
  }
}

// Range noise so large that the floor of across_variance (4 mm, what is not noise) does not count. Beams that graze
// are compared too, since the scan's normals are the true ones.
TEST(OutsideMatchCovariance, TheStatedInformationIsTheFisherInformation) {
  constexpr double kSigmaM = 0.2;
  for (const Pose2& pose : {Pose2{0.0, 0.0, 0.3}, Pose2{0.7, -0.4, 2.0}}) {
    for (const Room& room : {rectangle(5.0, 4.0), rectangle(3.0, 6.0)}) {
      const IcpResult match = match_icp(scan_points(room, pose), exact_map(room), {kSigmaM, 0.0}, pose,
                                        Eigen::Matrix3d::Zero(), without_line_error());
      ASSERT_EQ(match.overlap, 1.0);
      const Eigen::Matrix3d fisher = in_tangent_space(published_information(room, pose, 360, kSigmaM), pose);
      EXPECT_LT(largest_relative_difference(match.information, fisher), 0.01) << match.information << "\n\n" << fisher;
    }
  }
}

TEST(OutsideMatchCovariance, ACorridorIsSingularAlongItself) {
  const Pose2 pose{0.0, 0.2, 0.0};
  EXPECT_LT(smallest_over_largest(published_information(corridor(1.6), pose, 360, 0.015)), 1e-12);
  const IcpResult match = match_icp(scan_points(corridor(1.6), pose), exact_map(corridor(1.6)), {0.015, 0.0}, pose,
                                    Eigen::Matrix3d::Zero(), without_line_error());
  EXPECT_LT(smallest_over_largest(match.information), 1e-6);
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> eigen(match.information);
  EXPECT_GT(std::abs(eigen.eigenvectors()(0, 0)), 0.999);
}

// The map's pieces are straight, the wall is round: what they state of the heading comes from the pieces' corners
// alone and must be little beside what a room with corners tells.
TEST(OutsideMatchCovariance, ARoundRoomTellsHardlyAnythingOfTheHeading) {
  EXPECT_LT(smallest_over_largest(published_information(round_room(2.0), {}, 360, 0.015)), 1e-12);
  const auto heading_information = [](const Room& room) {
    return match_icp(scan_points(room, {}), exact_map(room), {0.015, 0.0}, {}, Eigen::Matrix3d::Zero())
        .information(2, 2);
  };
  std::cerr << "ROUND " << heading_information(round_room(2.0)) << " " << heading_information(rectangle(4.0, 4.0))
            << "\n";
  EXPECT_LT(heading_information(round_room(2.0)), 0.02 * heading_information(rectangle(4.0, 4.0)));
}

struct Spread {
  double mean_chi_squared = 0.0;  ///< of error^T information error; 3 if the information is true
  double within_95 = 0.0;         ///< fraction of errors within the stated 95 % ellipsoid
  double rmse_over_bound = 0.0;   ///< of the position, against the published bound of one noisy scan
};

/// Matches `count` noisy scans; `map_noise_m` > 0: each against a map of its own that one noisy scan made.
Spread spread_of_matches(int count, double map_noise_m, const IcpOptions& options, unsigned seed) {
  const RangeNoise noise{0.015, 0.0};
  const Room room = furnished_room();
  const Pose2 pose{0.2, -0.3, 0.4};
  const LineMap exact = exact_map(room);
  std::mt19937 random(seed);
  Spread spread;
  double squares = 0.0;
  for (int i = 0; i < count; ++i) {
    LineMap noisy;
    if (map_noise_m > 0.0) {
      std::vector<ScanPoint> seen = scan_points(room, {}, {360, 8.0, map_noise_m}, &random);
      estimate_normals(seen, noise);
      add_points(noisy, seen, {}, noise, 1);
    }
    std::vector<ScanPoint> points = scan_points(room, pose, {360, 8.0, noise.near_m}, &random);
    estimate_normals(points, noise);
    const IcpResult match = match_icp(points, map_noise_m > 0.0 ? noisy : exact, noise, pose * exp({0.03, -0.02, 0.02}),
                                      Eigen::Matrix3d::Zero(), options);
    const Tangent2 error = log(between(pose, match.pose));
    const double chi_squared = error.dot(match.information * error);
    spread.mean_chi_squared += chi_squared / count;
    spread.within_95 += chi_squared < chi_squared_quantile(0.95, 3) ? 1.0 / count : 0.0;
    squares += error.head<2>().squaredNorm() / count;
  }
  const Eigen::Matrix3d bound = published_information(room, pose, 360, noise.near_m).inverse();
  spread.rmse_over_bound = std::sqrt(squares / bound.topLeftCorner<2, 2>().trace());
  std::cerr << "SPREAD " << spread.mean_chi_squared << " " << spread.within_95 << " " << spread.rmse_over_bound << "\n";
  return spread;
}

TEST(OutsideMatchCovariance, MonteCarloAgainstAnExactMap) {
  const Spread spread = spread_of_matches(1000, 0.0, without_line_error(), 1);
  EXPECT_GT(spread.within_95, 0.90);
}

TEST(OutsideMatchCovariance, MonteCarloAgainstTheMapOfOneNoisyScan) {
  const Spread spread = spread_of_matches(1000, 0.015, {}, 2);
  EXPECT_GT(spread.within_95, 0.90);
}

}  // namespace
}  // namespace wainscot
