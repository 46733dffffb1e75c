// io/page/matcher.cpp, which pages call as WebAssembly, called here as the page's script calls it.

#include <algorithm>
#include <cstddef>
#include <vector>

#include <gtest/gtest.h>

#include "scanmatch/match_numbers.hpp"

extern "C" {
double* problem_at(std::size_t count);
std::size_t solve();
const double* trace_at();
}

namespace wainscot {
namespace {

std::vector<double> solved(const std::vector<double>& numbers) {
  std::copy(numbers.begin(), numbers.end(), problem_at(numbers.size()));
  const std::size_t count = solve();
  return {trace_at(), trace_at() + count};
}

/// A wall at x = 2 with returns 3 cm before it.
MatchProblem wall_problem() {
  MatchProblem problem;
  for (int i = -20; i <= 20; ++i) {
    const Eigen::Vector2d on_wall(2.0, 0.05 * i);
    problem.map.add(on_wall, {-1.0, 0.0}, 1e4, 1, 0);
    const double range = on_wall.norm();
    ScanPoint point{};
    point.x_m = 1.97F;
    point.y_m = static_cast<float>(on_wall.y());
    point.beam_x = static_cast<float>(on_wall.x() / range);
    point.beam_y = static_cast<float>(on_wall.y() / range);
    point.range_m = static_cast<float>(range);
    point.normal_x = -1.0F;
    problem.points.push_back(point);
  }
  problem.map.fit();
  problem.noise = {0.015, 0.0};
  problem.prior.diagonal() << 1.0, 100.0, 100.0;
  return problem;
}

TEST(PageMatcher, GivesTheTraceOfTheProblemThatWasPutIn) {
  const MatchProblem problem = wall_problem();
  EXPECT_EQ(solved(numbers_of(problem)), numbers_of(trace_icp(problem)));
  EXPECT_NEAR(trace_icp(problem).result.pose.x_m, 0.03, 1e-3);
}

TEST(PageMatcher, GivesNothingForWhatIsNoProblem) {
  EXPECT_TRUE(solved({1.0, 2.0, 3.0}).empty());
  std::vector<double> cut = numbers_of(wall_problem());
  cut.pop_back();
  EXPECT_TRUE(solved(cut).empty());
}

}  // namespace
}  // namespace wainscot
