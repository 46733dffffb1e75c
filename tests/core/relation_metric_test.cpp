#include "core/relation_metric.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// 0.1 m steps round a square of 4 m sides, twice, both paths the same.
std::vector<PosePair> two_rounds() {
  std::vector<PosePair> pairs;
  Pose2 pose;
  for (int i = 0; i <= 320; ++i) {
    pairs.push_back({0.5 * i, pose, pose});
    pose = pose * Pose2{0.1, 0.0, 0.0};
    if (i % 40 == 39) pose = pose * Pose2{0.0, 0.0, std::numbers::pi / 2};
  }
  return pairs;
}

TEST(RelationMetric, JoinsPlacesAlongTheWayAndThoseSeenAgain) {
  const std::vector<PosePair> pairs = two_rounds();
  const Relations relations = choose_relations(pairs);
  ASSERT_FALSE(relations.along_way.empty());
  for (const Relation& r : relations.along_way) {
    EXPECT_LT(r.from, r.to);
    EXPECT_LE(between(pairs[r.from].truth, pairs[r.to].truth).translation().norm(), 0.65);
  }
  // The whole second round is seen again, and nothing of the first but its end.
  ASSERT_FALSE(relations.seen_again.empty());
  for (const Relation& r : relations.seen_again) {
    EXPECT_GE(0.1 * static_cast<double>(r.to - r.from), 10.0 - 1e-9);
    EXPECT_LT((pairs[r.from].truth.translation() - pairs[r.to].truth.translation()).norm(), 1.0);
    EXPECT_GE(r.to, 145u);
  }
  EXPECT_GT(relations.seen_again.size(), 30u);
}

TEST(RelationMetric, AWrongBendCountsOnce) {
  // One wrong turn of 0.1 rad in the middle: absolute errors grow for the rest of the drive, one relation is off.
  std::vector<PosePair> pairs;
  Pose2 truth;
  Pose2 estimate;
  for (int i = 0; i <= 100; ++i) {
    pairs.push_back({static_cast<double>(i), estimate, truth});
    truth = truth * Pose2{0.5, 0.0, 0.0};
    estimate = estimate * Pose2{0.5, 0.0, i == 50 ? 0.1 : 0.0};
  }
  const Relations relations = choose_relations(pairs);
  const RelationError error = relation_error(pairs, relations.along_way);
  EXPECT_EQ(error.relations, 100u);
  EXPECT_NEAR(error.heading_mean_rad, 0.1 / 100.0, 1e-12);
  EXPECT_NEAR(error.heading_square_mean_rad2, 0.01 / 100.0, 1e-12);
  EXPECT_NEAR(error.heading_sd_rad, std::sqrt(0.01 / 100.0 - 1e-6), 1e-12);
  EXPECT_NEAR(error.position_mean_m, 0.0, 1e-12);
}

TEST(RelationMetric, OfNothingIsNothing) {
  EXPECT_EQ(relation_error({}, {}).relations, 0u);
  EXPECT_TRUE(choose_relations({}).along_way.empty());
}

}  // namespace
}  // namespace wainscot
