#include "scanmatch/mixed_returns.hpp"

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

constexpr double kNoiseM = 0.01;
constexpr double kDegree = std::numbers::pi / 180.0;

ScanPoint return_at(double angle_rad, double range_m) {
  ScanPoint point{};
  point.beam_x = static_cast<float>(std::cos(angle_rad));
  point.beam_y = static_cast<float>(std::sin(angle_rad));
  point.range_m = point.measured_m = static_cast<float>(range_m);
  point.x_m = static_cast<float>(range_m * std::cos(angle_rad));
  point.y_m = static_cast<float>(range_m * std::sin(angle_rad));
  point.angle_rad = static_cast<float>(angle_rad);
  return point;
}

/// Of the middle one of beams a degree apart; a range of 10 m: it met nothing.
bool mixed(const std::vector<double>& ranges_m, double noise_m = kNoiseM) {
  constexpr double kLargestM = 10.0;
  std::vector<ScanPoint> points;
  for (const double range_m : ranges_m) {
    points.push_back(return_at(static_cast<double>(points.size()) * kDegree, range_m));
  }
  return is_mixed(points, points.size() / 2, kDegree, kLargestM, noise_m);
}

TEST(MixedReturns, LieBetweenAnEdgeAndWhatIsBehindIt) {
  EXPECT_TRUE(mixed({1.0, 1.2, 3.0}));
  EXPECT_TRUE(mixed({3.0, 2.8, 1.0})) << "the other way round";
  EXPECT_TRUE(mixed({1.0, 1.0, 1.2, 3.0, 3.0}));
}

// A gap as narrow as a beam: its edges may answer in part.
TEST(MixedReturns, MayBeWhatOneBeamSeesThroughAGap) {
  EXPECT_TRUE(mixed({1.0, 3.0, 1.1}));
  EXPECT_FALSE(mixed({1.0, 3.0, 3.0, 3.0, 1.1})) << "a gap of three beams";
}

TEST(MixedReturns, AreNotWhatStandsInFrontOrBesideItsNeighbours) {
  EXPECT_FALSE(mixed({3.0, 1.0, 3.1})) << "a leg";
  EXPECT_FALSE(mixed({1.0, 1.02, 3.0})) << "no farther from the edge than noise takes it";
  EXPECT_FALSE(mixed({1.0, 2.98, 3.0})) << "nor from what is behind";
}

// What is behind the edge is a pane, say, or too far away.
TEST(MixedReturns, MayLieBesideWhatMetNothing) {
  EXPECT_TRUE(mixed({1.0, 1.2, 10.0}));
  EXPECT_TRUE(mixed({10.0, 2.8, 1.0}));
  EXPECT_FALSE(mixed({10.0, 2.8, 10.0})) << "a leg before nothing";
  EXPECT_FALSE(mixed({10.0, 2.8, 3.5})) << "nor one beside what is farther";
  EXPECT_TRUE(mixed({2.0, 3.0})) << "the last one";
  EXPECT_FALSE(mixed({3.0, 2.0})) << "a leg at the end";
  EXPECT_FALSE(mixed({1.2})) << "the only one";
}

TEST(MixedReturns, AreToldByTheNextBeamNotByOneFurtherOn) {
  const std::vector<ScanPoint> points{return_at(0.0, 3.0), return_at(1.0 * kDegree, 2.0), return_at(3.0 * kDegree, 1.0),
                                      return_at(4.0 * kDegree, 1.0)};
  EXPECT_FALSE(is_mixed(points, 1, kDegree, 10.0, kNoiseM)) << "between, but the beam beside it gave nothing";
  EXPECT_TRUE(is_mixed(points, 1, 2.0 * kDegree, 10.0, kNoiseM));
}

TEST(MixedReturns, AreNotTheFirstOfAWallThatLeadsAwayBehindAnEdge) {
  EXPECT_FALSE(mixed({1.0, 1.0, 2.0, 2.1, 2.21}));
  EXPECT_FALSE(mixed({2.21, 2.1, 2.0, 1.0, 1.0})) << "the other way round";
}

// A wall along x, a metre beside the lidar, met at 85 degrees: returns lie decimetres apart. Of 10,000 with noise 3 in
// 1,000 may be beyond three standard deviations, and twice that by steps that are not small.
TEST(MixedReturns, AreNotOfAWallSeenAtAFlatAngle) {
  std::mt19937 random(4);
  std::normal_distribution<double> noise(0.0, kNoiseM);
  int wrong = 0;
  for (int i = 0; i < 10000; ++i) {
    std::vector<ScanPoint> points;
    for (const double angle_rad : {6.0 * kDegree, 5.0 * kDegree, 4.0 * kDegree}) {
      points.push_back(return_at(angle_rad, 1.0 / std::sin(angle_rad) + noise(random)));
    }
    wrong += is_mixed(points, 1, kDegree, 100.0, kNoiseM) ? 1 : 0;
  }
  EXPECT_LT(wrong, 60);
}

TEST(MixedReturns, WithoutNoiseAreStillThose) {
  EXPECT_TRUE(mixed({1.0, 1.2, 3.0}, 0.0));
  EXPECT_FALSE(mixed({1.0, 1.0, 1.0}, 0.0));
}

}  // namespace
}  // namespace wainscot
