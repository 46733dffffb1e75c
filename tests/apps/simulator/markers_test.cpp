#include "apps/simulator/markers.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "apps/simulator/plan_yaml.hpp"
#include "apps/simulator/simulate.hpp"
#include "core/errors.hpp"
#include "tests/apps/simulator/small_house.hpp"

namespace wainscot::simulator {
namespace {

Plan marked_room(int count) {
  Plan plan = empty_room();
  plan.markers = lay_out_markers(plan, count);
  return plan;
}

const MotionState& state_at(const Motion& motion, double time_s) {
  return motion.states()[static_cast<std::size_t>(std::lround(time_s / kMotionStep_s))];
}

TEST(Markers, LieApartWithinTheHouse) {
  const std::vector<Marker> markers = lay_out_markers(empty_room(), 5);
  ASSERT_EQ(markers.size(), 5u);
  for (std::size_t i = 0; i < markers.size(); ++i) {
    EXPECT_EQ(markers[i].name, std::to_string(i + 1));
    EXPECT_TRUE(markers[i].at.x_m > 0.0 && markers[i].at.x_m < 6.0 && markers[i].at.y_m > 0.0 &&
                markers[i].at.y_m < 4.0);
    for (std::size_t j = 0; j < i; ++j) EXPECT_GT(norm(markers[i].at - markers[j].at), 0.5);
  }
  EXPECT_LT(lay_out_markers(empty_room(), 200).size(), 60u);  // half a metre apart along 14 m of route
}

TEST(Markers, APerfectCameraSeesWhatIsThere) {
  const Plan plan = marked_room(5);
  const HouseInTime house(plan);
  const Motion motion = drive_route(plan, 1);
  const std::vector<MarkerSighting> sightings = see_markers(plan, house, motion, 1);
  ASSERT_GT(sightings.size(), 10u);
  for (const MarkerSighting& s : sightings) {
    const Marker& marker = plan.markers[static_cast<std::size_t>(std::stoi(s.marker)) - 1];
    const MotionState& robot = state_at(motion, s.time_s);
    const double c = std::cos(robot.heading_rad);
    const double n = std::sin(robot.heading_rad);
    EXPECT_NEAR(robot.position.x_m + c * s.x_m - n * s.y_m, marker.at.x_m, 1e-6);
    EXPECT_NEAR(robot.position.y_m + n * s.x_m + c * s.y_m, marker.at.y_m, 1e-6);
    EXPECT_NEAR(std::remainder(robot.heading_rad + *s.heading_rad - marker.heading_deg * kDegree_rad, 2.0 * kPi), 0.0,
                1e-6);
    EXPECT_LE(std::abs(std::atan2(s.y_m, s.x_m)), 60.0 * kDegree_rad + 1e-6);
    EXPECT_LE(std::hypot(s.x_m, s.y_m), 2.0 + 1e-6);
  }
}

TEST(Markers, MisreadNumbersAreOtherMarkers) {
  Plan plan = marked_room(5);
  const HouseInTime house(plan);
  const Motion motion = drive_route(plan, 1);
  const std::vector<MarkerSighting> right = see_markers(plan, house, motion, 1);
  plan.defects.marker_misread_rate = Knob::fixed(0.3);
  const std::vector<MarkerSighting> some_wrong = see_markers(plan, house, motion, 1);
  ASSERT_EQ(right.size(), some_wrong.size());
  int wrong = 0;
  for (std::size_t i = 0; i < right.size(); ++i) {
    wrong += right[i].marker != some_wrong[i].marker ? 1 : 0;
    EXPECT_EQ(right[i].x_m, some_wrong[i].x_m);
  }
  EXPECT_NEAR(wrong, 0.3 * static_cast<double>(right.size()),
              3.0 * std::sqrt(0.21 * static_cast<double>(right.size())));
}

TEST(Markers, AreSurveyedOnRequestOnly) {
  Plan plan = marked_room(3);
  EXPECT_TRUE(simulate(plan, 1).marker_map.empty());
  plan.markers_surveyed = true;
  const SimulatedDrive drive = simulate(plan, 1);
  ASSERT_EQ(drive.marker_map.size(), 3u);
  EXPECT_EQ(drive.marker_map[1].x_m, plan.markers[1].at.x_m);
  EXPECT_FALSE(drive.markers.empty());
}

TEST(Markers, StandInThePlansFile) {
  Plan plan = marked_room(2);
  plan.markers_surveyed = true;
  const std::string text = plan_text(plan);
  EXPECT_NE(text.find("markers:\n  - {name: \"1\""), std::string::npos) << text;
  EXPECT_NE(text.find("markers_surveyed: true\n"), std::string::npos);
  EXPECT_EQ(plan_text(empty_room()).find("markers:"), std::string::npos);
}

}  // namespace
}  // namespace wainscot::simulator
