#include "graph/track/match_surprise.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

IcpResult match_at(const Pose2& pose, double sd_m, double sd_rad) {
  IcpResult match;
  match.pose = pose;
  match.information = Eigen::Vector3d(1.0 / (sd_m * sd_m), 1.0 / (sd_m * sd_m), 1.0 / (sd_rad * sd_rad)).asDiagonal();
  return match;
}

TEST(MatchSurprise, IsTheSquaredDifferenceByBothVariances) {
  const Eigen::Matrix3d covariance = Eigen::Vector3d(0.03 * 0.03, 0.03 * 0.03, 0.01 * 0.01).asDiagonal();
  // 0.1 m against sqrt(0.03^2 + 0.04^2) = 0.05 m: two standard deviations.
  EXPECT_NEAR(chi_squared_of(match_at({0.1, 0.0, 0.0}, 0.04, 0.01), {}, covariance), 4.0, 1e-3);
}

TEST(MatchSurprise, WholeTurnsAndOpenDirectionsDoNotCount) {
  const Eigen::Matrix3d covariance = Eigen::Vector3d(0.03 * 0.03, 0.03 * 0.03, 0.01 * 0.01).asDiagonal();
  EXPECT_NEAR(chi_squared_of(match_at({0.0, 0.0, 2.0 * std::numbers::pi}, 0.04, 0.01), {}, covariance), 0.0, 1e-6);
  IcpResult corridor = match_at({3.0, 0.0, 0.0}, 0.04, 0.01);
  corridor.information(0, 0) = 0.0;
  EXPECT_LT(chi_squared_of(corridor, {}, covariance), 1e-4);
}

// A twentieth of the way towards each: 1 where chi squared is its three degrees of freedom, bounded for one that is
// absurd.
TEST(MatchSurprise, TheMeanRunsAfterTheMatches) {
  EXPECT_NEAR(surprise_after(1.0, 3.0), 1.0, 1e-12);
  EXPECT_NEAR(surprise_after(1.0, 9.0), 1.1, 1e-12);
  EXPECT_NEAR(surprise_after(1.0, 1e9), 1.0 + 0.05 * 99.0, 1e-12);
}

}  // namespace
}  // namespace wainscot
