#include "scanmatch/match_numbers.hpp"

#include <optional>
#include <vector>

#include <gtest/gtest.h>

#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

MatchProblem sample_problem() {
  const RangeNoise noise{0.012, 0.002};
  MatchProblem problem;
  problem.noise = noise;
  add_points(problem.map, scan_points(furnished_room(), {0.2, -0.1, 0.3}), {0.2, -0.1, 0.3}, noise, 3);
  add_points(problem.map, scan_points(furnished_room(), {0.5, 0.1, 0.1}), {0.5, 0.1, 0.1}, noise, 7);
  problem.points = scan_points(furnished_room(), {0.6, 0.2, -0.2});
  problem.points[4].normal_x = problem.points[4].normal_y = 0.0F;  // one whose normal is not known
  problem.predicted = {0.65, 0.1, -0.15};
  problem.prior.diagonal() << 30.0, 40.0, 500.0;
  problem.prior(0, 2) = problem.prior(2, 0) = 3.0;
  problem.options.first_gate_m = 0.4;
  problem.options.oldest_node = 7;
  return problem;
}

TEST(MatchNumbers, GiveAProblemThatMatchesToTheLastBit) {
  const MatchProblem problem = sample_problem();
  const std::vector<double> numbers = numbers_of(problem);
  EXPECT_EQ(numbers.size(),
            kProblemHeader + problem.points.size() * kPointNumbers + problem.map.lines().size() * kLineNumbers);
  const std::optional<MatchProblem> again = problem_of(numbers);
  ASSERT_TRUE(again);
  EXPECT_EQ(numbers_of(*again), numbers);
  EXPECT_EQ(numbers_of(trace_icp(*again)), numbers_of(trace_icp(problem)));
}

TEST(MatchNumbers, OfATraceStandWhereTheHeaderSays) {
  const TracedMatch traced = trace_icp(sample_problem());
  const std::vector<double> numbers = numbers_of(traced);
  ASSERT_GT(numbers.size(), kTraceHeader + kIterationHeader);
  EXPECT_EQ(numbers[0], static_cast<double>(traced.iterations.size()));
  EXPECT_EQ(numbers[1], traced.result.pose.x_m);
  EXPECT_EQ(numbers[4], traced.result.information(0, 0));
  EXPECT_EQ(numbers[14], traced.result.residual_rms_m);
  EXPECT_EQ(numbers[kTraceHeader + 3], traced.iterations.front().gate_m);
  EXPECT_EQ(numbers[kTraceHeader + 8], static_cast<double>(traced.iterations.front().pairs.size()));
  std::size_t size = kTraceHeader;
  for (const IcpIteration& i : traced.iterations) size += kIterationHeader + i.pairs.size() * kPairNumbers;
  EXPECT_EQ(numbers.size(), size);
}

TEST(MatchNumbers, OfAnotherCountThanTheHeaderSaysAreNoProblem) {
  std::vector<double> numbers = numbers_of(sample_problem());
  EXPECT_FALSE(problem_of({}));
  EXPECT_FALSE(problem_of(std::vector<double>(kProblemHeader - 1, 0.0)));
  numbers.pop_back();
  EXPECT_FALSE(problem_of(numbers));
  numbers = numbers_of(sample_problem());
  numbers[0] = -1.0;
  EXPECT_FALSE(problem_of(numbers));
}

}  // namespace
}  // namespace wainscot
