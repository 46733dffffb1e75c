#include "graph/measure/tape_check.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "core/chi_squared.hpp"

namespace wainscot {
namespace {

TapeReading reading(double tape_m, double difference_m, double own_sd_m = 0.004, double by_range_offset = 2.0) {
  TapeReading r;
  r.tape_m = tape_m;
  r.tape_sd_m = 0.003;
  r.map.distance_m = tape_m + difference_m;
  r.map.own_sd_m = own_sd_m;
  r.map.by_range_offset = by_range_offset;
  return r;
}

TEST(TapeCheckTest, BiasAndScaleOfAnExactLine) {
  const std::vector<TapeReading> readings{reading(1.0, 0.007), reading(2.0, 0.009), reading(4.0, 0.013)};
  const TapeCheck check = check_tapes(readings, 0.002);
  ASSERT_TRUE(check.bias_m && check.scale);
  EXPECT_NEAR(check.bias_m->value, 0.005, 1e-12);
  EXPECT_NEAR(check.scale->value, 0.002, 1e-12);
  // Weights are all 1 / (5 mm)^2; sums of lengths 7 and of squares 21: the textbook's straight line.
  EXPECT_NEAR(check.scale->sd, 0.005 / std::sqrt(21.0 - 49.0 / 3.0), 1e-12);
  EXPECT_NEAR(check.bias_m->sd, 0.005 * std::sqrt(21.0 / (3.0 * 21.0 - 49.0)), 1e-12);
  // Student's t of one degree of freedom, 95 %: 12.71 (JCGM 100:2008, table G.2).
  EXPECT_NEAR(check.scale->half_interval_95 / check.scale->sd, 12.71, 0.01);
  for (const double rest : check.standardised) EXPECT_NEAR(rest, 0.0, 1e-9);
}

TEST(TapeCheckTest, ScatterLargerThanStatedCounts) {
  const std::vector<TapeReading> little{reading(1, 0.001), reading(2, -0.001), reading(3, 0.001), reading(4, -0.001)};
  std::vector<TapeReading> much = little;
  for (TapeReading& r : much) r.map.distance_m = r.tape_m + 20.0 * r.difference_m();
  EXPECT_GT(check_tapes(much, 0.0).scale->sd, 3.0 * check_tapes(little, 0.0).scale->sd);
}

TEST(TapeCheckTest, AgreementIsThatOfChiSquared) {
  // One tape: own 5 mm and scale 3 mm of a metre.
  const double z2 = 0.01 * 0.01 / (0.005 * 0.005 + std::pow(0.003 * 1.01, 2));
  EXPECT_NEAR(check_tapes(std::vector{reading(1.0, 0.01)}, 0.003).agreement, 1.0 - chi_squared_probability(z2, 1),
              1e-9);
  // The same shift by scale in several tapes is one error, not several.
  const std::vector<TapeReading> longer{reading(3, 0.015), reading(4, 0.02), reading(5, 0.025), reading(6, 0.03)};
  EXPECT_GT(check_tapes(longer, 0.005).agreement, 0.5);
  EXPECT_LT(check_tapes(longer, 0.0005).agreement, 0.001);
}

TEST(TapeCheckTest, TooFewOrTooLikeTapesTellNoScale) {
  EXPECT_FALSE(check_tapes(std::vector{reading(1, 0.0), reading(4, 0.0)}, 0.001).scale);
  EXPECT_FALSE(check_tapes(std::vector{reading(3, 0.0), reading(3.01, 0.0), reading(2.99, 0.0)}, 0.001).scale);
}

TEST(TapeCheckTest, AMisreadTapeStandsOut) {
  const std::vector<TapeReading> readings{reading(1, 0.0), reading(2, 0.001), reading(3, 0.1), reading(4, 0.0),
                                          reading(5, -0.001)};
  const TapeCheck check = check_tapes(readings, 0.001);
  EXPECT_GT(check.standardised[2], 10.0);
  EXPECT_LT(check.agreement, 1e-6);
}

TEST(TapeCheckTest, CorrectionWeighsMapAndTapes) {
  // One tape of 10 m, 5 mm, against a scale known to 0.05 % = 5 mm of it, without a range offset: half of it each.
  const MapCorrection half = correct_map(std::vector{reading(10.0, 0.02, 0.004, 0.0)}, 0.0005, 0.002);
  EXPECT_NEAR(half.scale, 0.001, 1e-9);
  EXPECT_NEAR(half.scale_sd, 0.0005 / std::sqrt(2.0), 1e-9);
  EXPECT_NEAR(half.range_offset_m, 0.0, 1e-12);
  EXPECT_NEAR(half.range_offset_sd_m, 0.002, 1e-9);
  // Across rooms and through walls a range offset shows with opposite signs.
  std::vector<TapeReading> many;
  for (int i = 1; i <= 20; ++i) {
    many.push_back(reading(0.3 * i, 0.006 + 0.0015 * i, 0.001));
    many.push_back(reading(0.1, -0.006 + 0.0005, 0.001, -2.0));
  }
  const MapCorrection both = correct_map(many, 0.01, 0.01);
  EXPECT_NEAR(both.range_offset_m, 0.003, 0.0002);
  EXPECT_NEAR(both.scale, 0.005, 0.0003);
}

}  // namespace
}  // namespace wainscot
