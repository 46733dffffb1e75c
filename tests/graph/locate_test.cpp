#include "graph/locate.hpp"

#include <numeric>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "graph/mapper.hpp"
#include "tests/graph/known_scene.hpp"

namespace wainscot {
namespace {

const RangeNoise kNoise{0.005, 0.0};
const Eigen::Matrix3d kStep = covariance_of(0.005, 0.005);

/// Twenty poses along a bent way through the crooked room.
std::vector<Pose2> way(const Pose2& room = {}) {
  std::vector<Pose2> poses;
  for (int i = 0; i < 20; ++i) poses.push_back(room * Pose2{-1.2 + 0.1 * i, -0.9 + 0.02 * i, 0.03 * i});
  return poses;
}

/// The scene seen along the poses by a robot whose odometry is a little wrong.
std::vector<Location> located(const KnownMap& map, const Scene& scene, const std::vector<Pose2>& poses) {
  Locator locator(map, kNoise);
  std::mt19937 random(3);
  std::vector<Location> answers;
  for (std::size_t i = 0; i < poses.size(); ++i) {
    const Pose2 moved = i == 0 ? Pose2{} : between(poses[i - 1], poses[i]) * random_error(random, 0.003, 0.003);
    answers.push_back(locator.add(keyframe_at(scene, poses[i]).points, moved, kStep));
  }
  return answers;
}

TEST(Locate, AKnownRoomIsFoundAndFollowed) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const std::vector<Location> answers = located(map, crooked_room(), way());
  for (std::size_t i = 0; i < answers.size(); ++i) {
    ASSERT_EQ(answers[i].answer, Answer::found) << i;
    ASSERT_EQ(answers[i].places.size(), 1U);
    const PlaceInMap& place = answers[i].places.front();
    EXPECT_LT(apart_m(place.pose, way()[i]), 0.01);
    EXPECT_LT(apart_rad(place.pose, way()[i]), 0.005);
    EXPECT_LT(std::sqrt(place.covariance(0, 0)), 0.02);
    EXPECT_GT(place.fit.explained(), 0.9);
  }
}

TEST(Locate, AnotherRoomIsLost) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  const Scene other = closed_walls({{-3.0, -1.5}, {1.0, -1.5}, {1.0, -0.2}, {3.5, -0.2}, {3.5, 2.6}, {-3.0, 2.6}});
  for (const Location& here : located(map, other, way())) {
    EXPECT_NE(here.answer, Answer::found);
    EXPECT_EQ(here.places.empty(), here.answer == Answer::lost);
  }
}

TEST(Locate, EqualRoomsStayAmbiguousAndBothAreNamed) {
  const Pose2 other{12.0, 1.0, 0.5};
  std::vector<Pose2> poses = poses_in_crooked_room();
  for (const Pose2& pose : poses_in_crooked_room(other)) poses.push_back(pose);
  const KnownMap map = known_scene(both(crooked_room(), moved(crooked_room(), other)), poses);
  const std::vector<Location> answers = located(map, crooked_room(), way());
  for (const Location& here : answers) EXPECT_EQ(here.answer, Answer::ambiguous);
  const std::vector<PlaceInMap>& places = answers.back().places;
  const auto named = [&places](const Pose2& pose) {
    return std::any_of(places.begin(), places.end(),
                       [&pose](const PlaceInMap& place) { return apart_m(place.pose, pose) < 0.02; });
  };
  EXPECT_TRUE(named(way().back()));
  EXPECT_TRUE(named(other * way().back()));
}

TEST(Locate, ACorridorLeavesOpenHowFarAlongIt) {
  const Scene corridor{{{-19.0, -0.8}, {19.0, -0.8}}, {{-19.0, 0.8}, {19.0, 0.8}}};
  std::vector<Pose2> poses;
  for (int i = 0; i < 6; ++i) poses.push_back({-5.0 + 2.0 * i, 0.1, 0.0});
  const KnownMap map = known_scene(corridor, poses);
  std::vector<Pose2> along;
  for (int i = 0; i < 20; ++i) along.push_back({-2.0 + 0.1 * i, 0.0, 0.0});
  for (const Location& here : located(map, corridor, along)) EXPECT_NE(here.answer, Answer::found);
}

TEST(Locate, ALiftedRobotIsNotTakenToBeWhereItWas) {
  const Pose2 other{12.0, 1.0, 0.5};
  const Scene hall =
      moved(closed_walls({{-3.0, -1.5}, {1.0, -1.5}, {1.0, -0.2}, {3.5, -0.2}, {3.5, 2.6}, {-3.0, 2.6}}), other);
  std::vector<Pose2> poses = poses_in_crooked_room();
  for (const Pose2& pose : poses_in_crooked_room(other)) poses.push_back(pose);
  const Scene house = both(crooked_room(), hall);
  const KnownMap map = known_scene(house, poses);
  std::vector<Pose2> both_ways = way();
  for (const Pose2& pose : way(other)) both_ways.push_back(pose);
  Locator locator(map, kNoise);
  std::vector<Location> answers;
  for (std::size_t i = 0; i < both_ways.size(); ++i) {
    // Its wheels do not know of the way between.
    const Pose2 moved = i == 0 || i == 20 ? Pose2{} : between(both_ways[i - 1], both_ways[i]);
    answers.push_back(locator.add(keyframe_at(house, both_ways[i]).points, moved, kStep));
    const bool right =
        apart_m(both_ways[i], answers[i].places.empty() ? Pose2{99, 0, 0} : answers[i].places[0].pose) < 0.05;
    EXPECT_TRUE(right || answers[i].answer != Answer::found) << i;
  }
  EXPECT_EQ(answers[19].answer, Answer::found);
  EXPECT_EQ(answers.back().answer, Answer::found);
}

TEST(Locate, ARestartForgets) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  Locator locator(map, kNoise);
  locator.add(keyframe_at(crooked_room(), way()[0]).points, {}, kStep);
  EXPECT_EQ(locator.location().answer, Answer::found);
  locator.restart();
  EXPECT_EQ(locator.location().answer, Answer::lost);
  EXPECT_TRUE(locator.location().places.empty());
}

TEST(Locate, ADriveWithoutOdometryOrScansIsRefused) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  Drive drive;
  EXPECT_THROW(locate_drive(map, drive, {}), PoorData);
  drive.odometry = {{0.0, {}}, {1.0, {}}};
  EXPECT_THROW(locate_drive(map, drive, {}), PoorData);
}

TEST(Locate, AnswersHaveNames) {
  EXPECT_STREQ(answer_text(Answer::found), "found");
  EXPECT_STREQ(answer_text(Answer::ambiguous), "ambiguous");
  EXPECT_STREQ(answer_text(Answer::lost), "lost");
}

}  // namespace
}  // namespace wainscot
