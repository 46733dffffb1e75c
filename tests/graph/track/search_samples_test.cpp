#include "graph/track/search_samples.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

ScanPoint at_range(float range_m) {
  ScanPoint point{};
  point.x_m = range_m;
  point.beam_x = 1.0F;
  point.range_m = range_m;
  return point;
}

TEST(SearchSamples, TheRadiusHoldsSevenTenthsOfTheReturns) {
  std::vector<ScanPoint> points;
  for (int i = 1; i <= 100; ++i) points.push_back(at_range(0.2F * static_cast<float>(i)));
  const double radius_m = search_radius_m(points);
  const auto within =
      std::count_if(points.begin(), points.end(), [&](const ScanPoint& p) { return p.range_m <= radius_m; });
  EXPECT_NEAR(static_cast<double>(within), 71.0, 1.0);
  EXPECT_EQ(search_radius_m({at_range(1.0F)}), 6.0) << "a raster of a closet is cheap";
  EXPECT_EQ(search_radius_m({at_range(40.0F)}), 25.0) << "one of a hall is not";
}

TEST(SearchSamples, LieOnTheLinesThatWereTouchedLately) {
  LineMap map;
  for (int i = 0; i < 6; ++i) map.add({0.05 * i, 1.0}, {0.0, -1.0}, 1e4, 3, 0);
  for (int i = 0; i < 6; ++i) map.add({0.05 * i, -1.0}, {0.0, 1.0}, 1e4, 9, 0);
  map.fit();
  const std::vector<Eigen::Vector2d> all = samples_near(map, 0, {0.0, 0.0}, 5.0);
  const std::vector<Eigen::Vector2d> late = samples_near(map, 5, {0.0, 0.0}, 5.0);
  ASSERT_FALSE(late.empty());
  EXPECT_GT(all.size(), late.size());
  for (const Eigen::Vector2d& p : late) EXPECT_NEAR(p.y(), -1.0, 1e-6);
  EXPECT_TRUE(samples_near(map, 0, {20.0, 0.0}, 5.0).empty());
}

TEST(SearchSamples, EndsAreThoseNearByEvenlyThinned) {
  std::vector<ScanPoint> points;
  for (int i = 0; i < 1000; ++i) points.push_back(at_range(i % 2 == 0 ? 3.0F : 9.0F));
  const std::vector<Eigen::Vector2d> ends = ends_within(points, 5.0);
  EXPECT_GT(ends.size(), 100U);
  EXPECT_LE(ends.size(), 500U);
  for (const Eigen::Vector2d& end : ends) EXPECT_EQ(end, Eigen::Vector2d(3.0, 0.0));
  EXPECT_EQ(ends_within({at_range(3.0F)}, 5.0).size(), 1U);
}

}  // namespace
}  // namespace wainscot
