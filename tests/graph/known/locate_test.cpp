#include "graph/known/locate.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/graph/known_scene.hpp"

namespace wainscot {
namespace {

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
  // From this corner too few faces are seen for odds of 10,000 to one; the next view, 0.3 m on, makes them so.
  constexpr std::size_t kSureAfter = 3;
  for (std::size_t i = 0; i < answers.size(); ++i) {
    ASSERT_NE(answers[i].answer, Answer::lost) << i;
    if (i >= kSureAfter) {
      ASSERT_EQ(answers[i].answer, Answer::found) << i;
      ASSERT_EQ(answers[i].places.size(), 1U);
    }
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

// 2026-11-30: home 34312 of the bench, two tries. The room whose alcove the map has explains all that is seen, the true
// one half of it until long after the robot has left its alcove.
TEST(Locate, ARoomWhoseAlcoveWasNotMappedIsNotTakenForItsTwin) {
  const Pose2 twin{12.0, 1.0, 0.5};
  std::vector<Pose2> poses = poses_without_alcove();
  for (const Pose2& pose : poses_without_alcove()) poses.push_back(twin * pose);
  poses.push_back(twin * Pose2{3.5, -1.2, 0.0});
  const KnownMap map = known_scene(both(with_alcove(), moved(with_alcove(), twin)), poses);
  std::vector<Pose2> out;
  for (int i = 0; i < 8; ++i) out.push_back({3.5, -0.8 - 0.1 * i, -1.57});
  for (int i = 0; i < 30; ++i) out.push_back({3.4 - 0.1 * i, -1.5, 3.14});
  const std::vector<Location> answers = located(map, with_alcove(), out);
  for (const Location& here : answers) EXPECT_NE(here.answer, Answer::found);
  // The true one is among the answers from where much of the room was seen.
  const std::vector<PlaceInMap>& places = answers.back().places;
  EXPECT_TRUE(std::any_of(places.begin(), places.end(),
                          [&](const PlaceInMap& place) { return apart_m(place.pose, out.back()) < 0.05; }));
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
  // Where its faces are enough at one glance (tests/graph/known/place_evidence_test.cpp).
  locator.add(keyframe_at(crooked_room(), {0.5, -0.5, 0.7}).points, {}, kStep);
  EXPECT_EQ(locator.location().answer, Answer::found);
  locator.restart();
  EXPECT_EQ(locator.location().answer, Answer::lost);
  EXPECT_TRUE(locator.location().places.empty());
}

/// Stands, then turns to and fro: heading at a time.
double turning_rad(double time_s) { return 0.5 * (1.0 - std::cos(2.0 * std::max(0.0, time_s - 1.0))); }

TEST(Locate, TurnsShowTheDelayOfTheLidarsClock) {
  constexpr double kDelayS = 0.03;  // the scans were taken so much later than their times say
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  LocatorOptions options;
  options.delay_sd_s = 0.02;
  Locator locator(map, kNoise, options);
  const auto by_wheels = [](double time_s) { return Pose2{0.2, -0.4, turning_rad(time_s)}; };
  double before_s = 0.0;
  double unsure_rad = 0.0;
  for (int i = 0; i < 100; ++i) {
    const double time_s = 0.1 * i;
    const double delay_s = locator.delay_s();
    const double speed = std::sin(2.0 * std::max(0.0, time_s + delay_s - 1.0));
    const Pose2 moved = between(by_wheels(before_s + delay_s), by_wheels(time_s + delay_s));
    const Pose2 truth = by_wheels(time_s + kDelayS);
    const Location& here =
        locator.add(keyframe_at(crooked_room(), truth).points, moved, kStep, Tangent2(0.0, 0.0, speed));
    ASSERT_FALSE(here.places.empty()) << i;
    const double sd_rad = std::sqrt(here.places[0].covariance(2, 2));
    const double error =
        wrap_angle(here.places[0].pose.heading_rad - by_wheels(time_s + locator.delay_s()).heading_rad);
    EXPECT_LT(std::abs(error), 3.0 * sd_rad) << i;
    unsure_rad = std::max(unsure_rad, sd_rad);
    before_s = time_s;
  }
  EXPECT_NEAR(locator.delay_s(), kDelayS, 0.002);
  EXPECT_GT(unsure_rad, 0.004) << "while it turned first, the delay was not known";
  EXPECT_LT(std::sqrt(locator.location().places[0].covariance(2, 2)), 0.5 * unsure_rad);
}

TEST(Locate, ADelayThatIsStatedExactIsKept) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  Locator locator(map, kNoise);
  const std::vector<Pose2> poses = way();
  for (std::size_t i = 0; i < poses.size(); ++i) {
    const Pose2 moved = i == 0 ? Pose2{} : between(poses[i - 1], poses[i]);
    locator.add(keyframe_at(crooked_room(), poses[i]).points, moved, kStep, Tangent2(0.3, 0.0, 0.1));
  }
  EXPECT_EQ(locator.delay_s(), 0.0);
}

Scene with_box(Scene scene, double x_m, double y_m, double side_m) {
  const double h = 0.5 * side_m;
  return both(std::move(scene),
              closed_walls({{x_m - h, y_m - h}, {x_m + h, y_m - h}, {x_m + h, y_m + h}, {x_m - h, y_m + h}}));
}

TEST(Locate, ARoomWhoseFurnitureWasMovedIsFoundAfterSomeViews) {
  const Scene before = with_box(with_box(crooked_room(), 1.9, -1.5, 0.5), -1.9, 0.4, 0.5);
  const Scene after = with_box(with_box(crooked_room(), 1.6, -0.4, 0.9), -0.3, 1.2, 0.7);
  const KnownMap map = known_scene(before, poses_in_crooked_room());
  const std::vector<Location> answers = located(map, after, way());
  EXPECT_NE(answers.front().answer, Answer::found) << "more contradicts the map than one view may";
  ASSERT_EQ(answers.back().answer, Answer::found);
  EXPECT_LT(apart_m(answers.back().places.front().pose, way().back()), 0.02);
}

// 2026-11-30: home 34107 of the bench, moved furniture, try 18: a match that left odometry out put the robot 0.19 m off
// in one scan, and it was told to be there from the sixth scan on.
TEST(Locate, WhereOdometryDidNotLeadIsDoubtedUntilAllThatIsSeenIsNew) {
  const KnownMap map = known_scene(crooked_room(), poses_in_crooked_room());
  constexpr std::size_t kSlips = 30;
  const auto on_circle = [](std::size_t i) {
    const double turn_rad = static_cast<double>(i) / 6.0;  // 0.1 m each
    return Pose2{0.6 * std::cos(turn_rad), 0.6 * std::sin(turn_rad), turn_rad + 1.57};
  };
  Locator locator(map, kNoise);
  std::vector<Answer> answers;
  for (std::size_t i = 0; i < kSlips + 36; ++i) {
    const Pose2 moved = i == 0 ? Pose2{} : between(on_circle(i - 1), on_circle(i));  // wheels know of no slip
    const Pose2 here = Pose2{i < kSlips ? 0.0 : 0.15, 0.0, 0.0} * on_circle(i);
    const Location& location =
        locator.add(keyframe_at(crooked_room(), here).points, moved, covariance_of(0.0005, 0.0005));
    answers.push_back(location.answer);
    ASSERT_FALSE(location.places.empty()) << i;
    EXPECT_LT(apart_m(location.places.front().pose, here), 0.02) << i;
  }
  const auto driven = static_cast<std::ptrdiff_t>(LocatorOptions().aside_way_m / 0.1) - 1;
  EXPECT_EQ(answers[kSlips - 1], Answer::found);
  EXPECT_EQ(std::count(answers.begin() + kSlips, answers.begin() + kSlips + driven, Answer::found), 0);
  EXPECT_EQ(answers.back(), Answer::found);
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
