#include "graph/adjust/adjustment_problem.hpp"

#include <cmath>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/adjust/still_nodes.hpp"

namespace wainscot {
namespace {

TEST(AdjustmentProblem, TimesAreTheScans) {
  const StillNodes still;
  const AdjustmentProblem problem = still.problem();
  EXPECT_EQ(problem.lidar_times_s, (std::vector<double>{0.0, 1.0, 2.0, 3.0, 4.0}));
  EXPECT_EQ(problem.middle_s, 2.0);
  EXPECT_EQ(problem.range_noise.at(3.0), 0.005);
}

TEST(AdjustmentProblem, AConstantOneStandardDeviationOffCostsOneHalf) {
  const StillNodes still;
  const AdjustmentProblem problem = still.problem();
  EXPECT_EQ(prior_cost(problem, {}), 0.0);
  Constants constants;
  constants.change[kRangeScale] = std::sqrt(constant_prior(still.drive)(kRangeScale, kRangeScale));
  EXPECT_NEAR(prior_cost(problem, constants), 0.5, 1e-9);
}

TEST(AdjustmentProblem, MeasuredLengthsCostWhatTheySay) {
  const StillNodes still;
  AdjustmentProblem problem = still.problem();
  LengthEquations one;
  one.by_scale_and_offset.resize(1, 2);
  one.by_scale_and_offset << 4.0, 2.0;
  one.wanted = Eigen::VectorXd::Constant(1, 0.006);
  one.covariance = Eigen::MatrixXd::Constant(1, 1, 9e-6);
  problem.lengths = length_evidence(one, 1e-6);
  EXPECT_NEAR(prior_cost(problem, {}), 0.5 * 4.0, 1e-9);  // two standard uncertainties
}

}  // namespace
}  // namespace wainscot
