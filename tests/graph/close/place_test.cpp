#include "graph/close/place.hpp"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/close/looped_drive.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

struct Driven {
  std::vector<Keyframe> keyframes;
  std::vector<Pose2> poses;

  Driven(const Scene& scene, std::vector<Pose2> true_poses) : poses(std::move(true_poses)) {
    for (std::size_t i = 0; i < poses.size(); ++i) keyframes.push_back(keyframe_at(scene, poses[i], i));
  }
  Place place(std::size_t node, const PlaceOptions& options = {}) const {
    const std::vector<double> ways = ways_of(poses);
    return {SeenPath{keyframes, poses, ways, kNoise}, node, options};
  }
};

TEST(Place, HoldsItsPointsInTheNodesFrame) {
  const Driven room(crooked_room(), {{-1.0, -0.5, 0.3}, {-0.5, -0.4, 0.5}, {0.0, -0.2, 0.9}});
  const Place place = room.place(1);
  EXPECT_EQ(place.node(), 1U);
  ASSERT_GT(place.points().size(), 300U);
  const Scene walls = crooked_room();
  for (const ScanPoint& p : place.points()) {
    const Eigen::Vector2d world = room.poses[1] * Eigen::Vector2d(p.x_m, p.y_m);
    const Eigen::Vector2d normal = room.poses[1].rotation() * Eigen::Vector2d(p.normal_x, p.normal_y);
    // A step from 1 cm before the wall along the normal's opposite meets it at once, and head-on.
    EXPECT_LT(range_to(walls, world + 0.01 * normal, -normal), 0.013);
  }
}

TEST(Place, TakesTheKeyframesWithinHalfTheWay) {
  std::vector<Pose2> poses;
  for (int i = 0; i < 6; ++i) poses.push_back({-1.5 + 0.5 * i, 0.0, 0.0});
  const Driven room(crooked_room(), poses);
  PlaceOptions narrow;
  narrow.half_way_m = 0.1;
  narrow.least_neighbours = 0;
  narrow.most_points = 100000;
  PlaceOptions wide = narrow;
  wide.half_way_m = 0.6;
  const auto with_normal = [&](std::size_t k) {
    std::size_t count = 0;
    for (const ScanPoint& p : room.keyframes[k].points) count += p.has_normal() ? 1 : 0;
    return count;
  };
  EXPECT_EQ(room.place(3, narrow).points().size(), with_normal(3));
  EXPECT_EQ(room.place(3, wide).points().size(), with_normal(2) + with_normal(3) + with_normal(4));
  EXPECT_EQ(room.place(0, wide).points().size(), with_normal(0) + with_normal(1));
}

TEST(Place, TakesTheNextKeyframesWhereScansAreSparseButNoneBeyondABreak) {
  const Driven room(crooked_room(), {{-1.5, 0.0, 0.0}, {0.4, 0.0, 0.0}, {1.0, -1.5, 0.0}, {-1.0, -1.0, 1.0}});
  const std::vector<double> ways{0.0, 1.9, 3.6, 1006.0};
  const SeenPath path{room.keyframes, room.poses, ways, kNoise};
  PlaceOptions all;
  all.most_points = 100000;
  const auto count = [&](std::size_t k) { return Place(path, k, all).points().size(); };
  PlaceOptions alone = all;
  alone.least_neighbours = 0;
  const auto own = [&](std::size_t k) { return Place(path, k, alone).points().size(); };
  EXPECT_EQ(count(1), own(0) + own(1) + own(2));
  EXPECT_EQ(count(2), own(1) + own(2));
  EXPECT_EQ(count(3), own(3));
}

TEST(Place, OfALidarThatSeesHalfACircleTakesTwiceTheWay) {
  std::vector<Pose2> poses;
  for (int i = 0; i < 6; ++i) poses.push_back({-1.5 + 0.5 * i, 0.0, 0.0});
  Driven room(crooked_room(), poses);
  for (Keyframe& k : room.keyframes) std::erase_if(k.points, [](const ScanPoint& p) { return p.beam_x < 0.0F; });
  PlaceOptions options;
  options.least_neighbours = 0;
  options.most_points = 100000;
  const auto points_within = [&](double half_way_m) {
    options.half_way_m = half_way_m;
    return room.place(3, options).points().size();
  };
  const std::size_t alone = points_within(0.1);
  EXPECT_EQ(points_within(0.24), alone);
  EXPECT_GT(points_within(0.27), 2 * alone) << "the two half a metre away";
}

TEST(Place, ThinsEvenly) {
  const Driven room(crooked_room(), {{-1.0, 0.0, 0.0}, {-0.7, 0.0, 0.0}, {-0.4, 0.0, 0.0}, {-0.1, 0.0, 0.0}});
  PlaceOptions few;
  few.most_points = 150;
  const Place place = room.place(2, few);
  EXPECT_LE(place.points().size(), 150U);
  EXPECT_GE(place.points().size(), 100U);
  // Some of each keyframe: their lidars stood at different places along x of the node.
  int behind = 0;
  for (const ScanPoint& p : place.points()) {
    const double lidar_x = static_cast<double>(p.x_m) - static_cast<double>(p.range_m) * static_cast<double>(p.beam_x);
    behind += lidar_x < -0.5 ? 1 : 0;
  }
  EXPECT_NEAR(behind, static_cast<double>(place.points().size()) / 4.0, 5.0);
}

TEST(Place, KnowsItsFloorAndItsWalls) {
  const Driven room(crooked_room(), {{-0.2, 0.0, 0.0}, {0.0, 0.0, 0.0}, {0.2, 0.0, 0.0}});
  const Place place = room.place(1);
  EXPECT_TRUE(place.seen().is_free({1.0, -0.5}));
  EXPECT_FALSE(place.seen().is_free({1.0, -2.0}));  // on the wall
  EXPECT_TRUE(place.seen().is_seen({1.0, -2.0}));
  EXPECT_FALSE(place.seen().is_seen({1.0, -3.0}));  // behind it
  EXPECT_NE(place.lines().find({0.5, -2.0}, {0.0, 1.0}, 0.05), LineMap::kNone);
  EXPECT_EQ(place.lines().find({0.5, -2.0}, {0.0, -1.0}, 0.05), LineMap::kNone);  // the wall's other face
  EXPECT_EQ(place.lines().find({0.5, -1.0}, {0.0, 1.0}, 0.05), LineMap::kNone);
  const auto found = place.raster(3.0).search({{2.5, 0.0}, {0.0, -2.0}, {-2.5, -1.0}, {-1.0, -2.0}, {2.5, -1.5}},
                                              {0.2, -0.1, 0.05}, {0.4, 0.4, 0.2});
  ASSERT_TRUE(found);
  EXPECT_LT(found->pose.translation().norm(), 0.08);
}

}  // namespace
}  // namespace wainscot
