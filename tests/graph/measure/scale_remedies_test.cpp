#include "graph/measure/scale_remedies.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/tape_room.hpp"

namespace wainscot {
namespace {

/// The room of 4 m by 3 m, its scale known to `scale_sd` by wheels: what ranges and way have in common.
struct UnsureRoom {
  TapeRoom room;
  explicit UnsureRoom(double scale_sd) {
    Map& map = room.map();
    const double v = scale_sd * scale_sd;
    map.scale.covariance << v, 0.0, 0.99 * v, 0.0, 1e-6, 0.0, 0.99 * v, 0.0, v;
    map.scale.way_sd_m_per_sqrt_m = 0.001;
    RefinedConstant left;
    left.name = "drive.left_m_per_tick";
    map.constants.push_back(left);
  }
  std::vector<ScaleRemedy> remedies(const ScaleRemedyOptions& options = {}) {
    const MeasurableMap measurable(room.map(), room.returns(), OffsetUncertainty::apart);
    return scale_remedies(room.map(), room.map().grid, measurable, options);
  }
};

const ScaleRemedy* find(const std::vector<ScaleRemedy>& remedies, ScaleRemedy::Kind kind, int count) {
  const auto found = std::find_if(remedies.begin(), remedies.end(),
                                  [&](const ScaleRemedy& r) { return r.kind == kind && r.count == count; });
  return found == remedies.end() ? nullptr : &*found;
}

TEST(ScaleRemediesTest, OneTapeAlongTheRoomIsWorthWhatTheTextbookSays) {
  UnsureRoom room(0.003);
  const std::vector<ScaleRemedy> remedies = room.remedies();
  const ScaleRemedy* tape = find(remedies, ScaleRemedy::Kind::tapes, 1);
  ASSERT_NE(tape, nullptr);
  EXPECT_NEAR(tape->length_m, 4.0, 0.01);
  ASSERT_EQ(tape->between_m.size(), 1U);
  const MeasurableMap measurable(room.room.map(), room.room.returns(), OffsetUncertainty::apart);
  const TapeAnswer answer = measure_tape(measurable, {tape->between_m[0][0], tape->between_m[0][1]});
  ASSERT_TRUE(answer.measure);
  // Two independent measurements of the scale: the map's own, and tape, surfaces and range offset over 4 m.
  const double own = answer.measure->own_sd_m;
  const double by_tape = (own * own + 0.002 * 0.002 + 4.0 * 1e-6) / 16.0;
  EXPECT_NEAR(tape->scale_sd, std::sqrt(1.0 / (1.0 / 9e-6 + 1.0 / by_tape)), 2e-5);
}

TEST(ScaleRemediesTest, NoTapeIsLaidAcrossFurniture) {
  UnsureRoom room(0.003);
  // Free floor of 4 m by 3 m but for a cupboard as deep as the room, across which every tape along it would go.
  OccupancyGrid& grid = room.room.map().grid;
  grid = {{0.05, 0, 0, 80, 60}, std::vector<float>(80 * 60, 0.02F)};
  for (std::size_t row = 4; row < 56; ++row) grid.probability[row * 80 + 50] = 0.9F;
  const std::vector<ScaleRemedy> remedies = room.remedies();
  const ScaleRemedy* tape = find(remedies, ScaleRemedy::Kind::tapes, 1);
  ASSERT_NE(tape, nullptr);
  EXPECT_NEAR(tape->length_m, 3.0, 0.01);
}

TEST(ScaleRemediesTest, ATapeThatWasLaidIsNotAskedForAgain) {
  UnsureRoom room(0.003);
  const std::vector<ScaleRemedy> before = room.remedies();
  const ScaleRemedy* tape = find(before, ScaleRemedy::Kind::tapes, 1);
  ASSERT_NE(tape, nullptr);
  MappedTape laid;
  laid.from_m = tape->between_m[0][1];  // from the other end
  laid.to_m = tape->between_m[0][0];
  room.room.map().tapes = {laid};
  const std::vector<ScaleRemedy> after = room.remedies();
  const ScaleRemedy* other = find(after, ScaleRemedy::Kind::tapes, 1);
  ASSERT_NE(other, nullptr);
  EXPECT_GT(
      (other->between_m[0][0] - tape->between_m[0][0]).norm() + (other->between_m[0][1] - tape->between_m[0][1]).norm(),
      0.9);
  room.room.map().tapes[0].left_out = "it is wrong";
  EXPECT_EQ(room.remedies().front().between_m[0][0], before.front().between_m[0][0]);
}

TEST(ScaleRemediesTest, ABetterTapeIsWorthMore) {
  UnsureRoom room(0.003);
  ScaleRemedyOptions better;
  better.tape_sd_m = 0.0005;
  ScaleRemedyOptions worse;
  worse.tape_sd_m = 0.006;
  const std::vector<ScaleRemedy> with_better = room.remedies(better);
  const std::vector<ScaleRemedy> with_worse = room.remedies(worse);
  ASSERT_NE(find(with_better, ScaleRemedy::Kind::tapes, 1), nullptr);
  ASSERT_NE(find(with_worse, ScaleRemedy::Kind::tapes, 1), nullptr);
  EXPECT_LT(find(with_better, ScaleRemedy::Kind::tapes, 1)->scale_sd,
            find(with_worse, ScaleRemedy::Kind::tapes, 1)->scale_sd);
}

TEST(ScaleRemediesTest, NothingIsAskedForWhereItWouldNotHelp) {
  EXPECT_TRUE(UnsureRoom(0.0001).remedies().empty());
  UnsureRoom unknown(0.003);
  unknown.room.map().scale = {};  // a map that was read back
  EXPECT_TRUE(unknown.remedies().empty());
}

TEST(ScaleRemediesTest, RunsHelpWhereWheelsHoldTheScale) {
  UnsureRoom room(0.003);
  const std::vector<ScaleRemedy> remedies = room.remedies();
  const ScaleRemedy* runs = find(remedies, ScaleRemedy::Kind::straight_run, 3);
  ASSERT_NE(runs, nullptr);
  EXPECT_NEAR(runs->length_m, 3.0, 0.02);
  // Three runs of 3 m, each known to 3 mm and slipping by a millimetre a root metre; the scale hangs on the way by 99
  // %.
  const double by_runs = (9e-6 + 3e-6) / 3.0 / 9.0;
  EXPECT_NEAR(runs->scale_sd, std::sqrt(9e-6 * (1.0 - 0.99 * 0.99 * 9e-6 / (9e-6 + by_runs))), 2e-5);
  room.room.map().constants.clear();  // a robot that integrates its odometry itself
  EXPECT_EQ(find(room.remedies(), ScaleRemedy::Kind::straight_run, 3), nullptr);
}

TEST(ScaleRemediesTest, ASurveyIsAskedForOnlyOfMarkersThatWereSeen) {
  UnsureRoom room(0.003);
  EXPECT_EQ(find(room.remedies(), ScaleRemedy::Kind::surveyed_markers, 2), nullptr);
  MappedMarker marker;
  marker.sightings = 4;
  marker.residual_rms_m = 0.01;
  room.room.map().markers.markers = {marker, marker, marker};
  room.room.map().markers.markers[1].place.x_m = 9.0;
  room.room.map().markers.markers[2].place.x_m = 2.0;
  const std::vector<ScaleRemedy> remedies = room.remedies();
  const ScaleRemedy* survey = find(remedies, ScaleRemedy::Kind::surveyed_markers, 2);
  ASSERT_NE(survey, nullptr);
  EXPECT_EQ(survey->length_m, 9.0);
  // Each place to 5 mm by the survey and to 5 mm by four sightings of 1 cm.
  EXPECT_NEAR(survey->scale_sd, 1.0 / std::sqrt(1.0 / 9e-6 + 81.0 / (4.0 * 25e-6)), 1e-6);
  for (std::size_t i = 1; i < remedies.size(); ++i) EXPECT_LE(remedies[i - 1].scale_sd, remedies[i].scale_sd);
  room.room.map().markers.markers[0].surveyed = true;
  EXPECT_EQ(find(room.remedies(), ScaleRemedy::Kind::surveyed_markers, 2), nullptr);
}

}  // namespace
}  // namespace wainscot
