#include "graph/known/place_search.hpp"

#include <algorithm>
#include <numbers>

#include <gtest/gtest.h>

#include "tests/graph/known_scene.hpp"

namespace wainscot {
namespace {

/// What a robot at a pose sees around itself, in its own frame.
std::vector<MapView> one_view(const Scene& scene, const Pose2& pose) {
  return {{Pose2{}, keyframe_at(scene, pose).points}};
}

std::vector<IcpResult> places_of(const KnownMap& map, const std::vector<MapView>& views) {
  LineMap walls;
  add_scan(walls, views.front().points, {}, kNoise, 0);
  return search_places(map, kNoise, walls, views);
}

TEST(PlaceSearch, OnePlaceIsWithinTwentyCentimetresAndATenthOfARadian) {
  EXPECT_TRUE(same_place({1.0, 1.0, 0.0}, {1.1, 1.1, 0.05}));
  EXPECT_TRUE(same_place({0.0, 0.0, std::numbers::pi - 0.02}, {0.0, 0.0, -std::numbers::pi + 0.02}));
  EXPECT_FALSE(same_place({1.0, 1.0, 0.0}, {1.21, 1.0, 0.0}));
  EXPECT_FALSE(same_place({1.0, 1.0, 0.0}, {1.0, 1.0, 0.11}));
}

TEST(PlaceSearch, FindsThePlaceToMillimetres) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const Pose2 pose{0.7, -1.1, 1.9};
  const std::vector<IcpResult> places = places_of(map, one_view(crooked_room(), pose));
  ASSERT_FALSE(places.empty());
  EXPECT_LT(apart_m(places.front().pose, pose), 0.01);
  EXPECT_LT(apart_rad(places.front().pose, pose), 0.005);
  for (std::size_t i = 0; i < places.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) EXPECT_FALSE(same_place(places[i].pose, places[j].pose));
  }
}

TEST(PlaceSearch, NamesBothOfTwoEqualRooms) {
  const Pose2 other{12.0, 1.0, 0.5};
  std::vector<Pose2> poses = poses_in_crooked_room();
  for (const Pose2& pose : poses_in_crooked_room(other)) poses.push_back(pose);
  const KnownMap map = known_scene(both(crooked_room(), moved(crooked_room(), other)), poses);
  const Pose2 pose{0.7, -1.1, 1.0};
  int found = 0;
  for (const IcpResult& place : places_of(map, one_view(crooked_room(), pose))) {
    found += apart_m(place.pose, pose) < 0.01 || apart_m(place.pose, other * pose) < 0.01 ? 1 : 0;
  }
  EXPECT_EQ(found, 2);
}

TEST(PlaceSearch, APlaceOfWhichTheMapHasAPartIsFoundWhenAskedFor) {
  const KnownMap map = known_scene(with_alcove(), poses_without_alcove());
  const Pose2 inside{3.4, -1.4, 1.0};  // the alcove that the map lacks, in sight of the room
  ASSERT_FALSE(map.is_known(inside.translation()));
  const std::vector<MapView> views = one_view(with_alcove(), inside);
  const auto is_among = [&](const std::vector<IcpResult>& places) {
    return std::any_of(places.begin(), places.end(),
                       [&](const IcpResult& place) { return same_place(place.pose, inside); });
  };
  LineMap walls;
  add_scan(walls, views.front().points, {}, kNoise, 0);
  EXPECT_FALSE(is_among(search_places(map, kNoise, walls, views)));
  EXPECT_TRUE(is_among(search_partly_mapped_places(map, kNoise, walls, views)));
}

}  // namespace
}  // namespace wainscot
