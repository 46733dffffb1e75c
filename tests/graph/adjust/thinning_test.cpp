#include "graph/adjust/thinning.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A node every 0.1 m round a square of 4 m, `tours` times.
std::vector<Pose2> tours(int number) {
  std::vector<Pose2> poses;
  for (int tour = 0; tour < number; ++tour) {
    for (int side = 0; side < 4; ++side) {
      const double heading = side * std::numbers::pi / 2.0;
      const Pose2 corner{side == 1 || side == 2 ? 4.0 : 0.0, side >= 2 ? 4.0 : 0.0, heading};
      for (int step = 0; step < 40; ++step) poses.push_back(corner * Pose2{0.05 + 0.1 * step, 0.02, 0.0});
    }
  }
  return poses;
}

TEST(Thinning, ADriveThatFitsKeepsEveryNode) {
  const std::vector<std::size_t> kept = informative_nodes(tours(3));
  ASSERT_EQ(kept.size(), 480U);
  for (std::size_t i = 0; i < kept.size(); ++i) EXPECT_EQ(kept[i], i);
}

TEST(Thinning, FurtherToursAddNothing) {
  const ThinningOptions options{0.5, 4, 2, 100};
  const std::vector<std::size_t> one = informative_nodes(tours(1), options);
  const std::vector<std::size_t> six = informative_nodes(tours(6), options);
  EXPECT_EQ(one.size(), 97U) << "three of each of 32 places, four would be more than 100; and the last one";
  EXPECT_EQ(six.size(), one.size());
  EXPECT_EQ(six.front(), 0U);
  EXPECT_EQ(six.back(), tours(6).size() - 1);
}

TEST(Thinning, OtherHeadingsAreOtherPlaces) {
  std::vector<Pose2> turning;
  for (int i = 0; i < 80; ++i) turning.push_back({1.0, 1.0, 0.1 + i * std::numbers::pi / 4.0});
  EXPECT_EQ(informative_nodes(turning, {0.5, 4, 2, 10}).size(), 9U);
}

TEST(Thinning, EveryPlaceKeepsTheFewestHoweverManyPlacesThereAre) {
  std::vector<Pose2> street;
  for (int i = 0; i < 1000; ++i) street.push_back({1.0 * i, 0.0, 0.0});
  EXPECT_EQ(informative_nodes(street).size(), 1000U);
}

TEST(Thinning, NoNodes) { EXPECT_TRUE(informative_nodes({}).empty()); }

}  // namespace
}  // namespace wainscot
