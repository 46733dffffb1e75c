#include "io/rooms/room_floors.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "core/polygon.hpp"
#include "tests/io/rooms/two_rooms.hpp"

namespace wainscot {
namespace {

std::vector<RoomFloor> floors_of(const TwoRooms& home, const std::vector<WallLine>& walls,
                                 const MapUncertainty& uncertainty = {}) {
  const OpenFloor floor = open_floor(home.grid);
  const RoomList list{"rooms.csv", {{"left", false, {{{1.0, 1.0}, 2}}}, {"right", false, {{{4.0, 1.0}, 3}}}}, {}, {}};
  return room_floors(floor, room_labels(floor, list), home.grid, walls, uncertainty);
}

/// What was seen lies to the left of the way; faces as the left room has them, 1 cm outside its cells.
std::vector<WallLine> faces_of_left() {
  const auto face = [](double x1, double y1, double x2, double y2) {
    return WallLine{{x1, y1}, {x2, y2}, 0.002, 3, 100};
  };
  return {face(0.04, 0.04, 2.46, 0.04), face(2.46, 0.04, 2.46, 1.0), face(2.46, 1.8, 2.46, 2.96),
          face(2.46, 2.96, 0.04, 2.96), face(0.04, 2.96, 0.04, 0.04)};
}

constexpr double kUnforeseen = 0.011;  // of the area, beside what the borders say

TEST(RoomFloors, WithoutFacesTheFloorEndsHalfACellFurther) {
  const std::vector<RoomFloor> floors = floors_of(TwoRooms(), {});
  ASSERT_EQ(floors.size(), 2U);
  const double cells_m2 = 2.4 * 2.9 + 0.05 * 0.8;
  const double walls_m = 2.0 * 2.4 + 2.0 * 2.9 - 0.8 + 0.1;
  EXPECT_NEAR(floors[0].area_m2, cells_m2 + 0.025 * walls_m, 0.005);
  EXPECT_NEAR(floors[0].border_m, walls_m + 0.8, 1e-9);
  EXPECT_NEAR(floors[0].to_rooms_m, 0.8, 1e-9);
  EXPECT_DOUBLE_EQ(floors[0].by_faces_m, 0.0);
  EXPECT_DOUBLE_EQ(floors[0].unseen_m, 0.0);
  // Each straight run is off by the same part of a cell.
  const double runs = 2.4 * 2.4 * 2 + 2.9 * 2.9 + 0.95 * 0.95 + 1.15 * 1.15 + 0.8 * 0.8 + 2 * 0.05 * 0.05;
  EXPECT_NEAR(floors[0].sd_m2, std::hypot(0.05 * std::sqrt(runs / 12.0), kUnforeseen * floors[0].area_m2), 1e-3);
  EXPECT_NEAR(signed_area(floors[0].outline), floors[0].area_m2, 0.03);
  EXPECT_FALSE(crossing_edges(floors[0].outline));
  EXPECT_LE(floors[0].outline.size(), 12U);
}

TEST(RoomFloors, FacesSayWhereItEnds) {
  const std::vector<RoomFloor> floors = floors_of(TwoRooms(), faces_of_left());
  const double walls_m = 2.0 * 2.4 + 2.0 * 2.9 - 0.8;
  EXPECT_NEAR(floors[0].area_m2, 2.4 * 2.9 + 0.05 * 0.8 + 0.01 * walls_m + 0.025 * 0.1, 0.002);
  EXPECT_NEAR(floors[0].by_faces_m, walls_m, 1e-9);
  EXPECT_LT(floors[0].sd_m2, std::hypot(0.02, kUnforeseen * floors[0].area_m2));
  EXPECT_DOUBLE_EQ(floors[1].by_faces_m, 0.0) << "they look the other way";
}

TEST(RoomFloors, ScaleAndRangeOffsetAreInTheUncertainty) {
  const double before = floors_of(TwoRooms(), faces_of_left())[0].sd_m2;
  const RoomFloor with = floors_of(TwoRooms(), faces_of_left(), {0.01, 0.005})[0];
  const double faces_m = 2.0 * 2.4 + 2.0 * 2.9 - 0.8;
  EXPECT_NEAR(with.sd_m2, std::hypot(before, 2.0 * 0.01 * with.area_m2, 0.005 * faces_m), 1e-9);
}

TEST(RoomFloors, WhereNothingWasSeenIsTold) {
  TwoRooms home;
  home.fill(0.0, 0.0, 0.05, 3.0, std::numeric_limits<float>::quiet_NaN());  // the west wall
  const std::vector<RoomFloor> floors = floors_of(home, {});
  EXPECT_NEAR(floors[0].unseen_m, 2.9, 1e-9);
  EXPECT_DOUBLE_EQ(floors[1].unseen_m, 0.0);
}

TEST(RoomFloors, ASlantedFaceIsCountedOnce) {
  TwoRooms home;
  // A corner cut off at 45 degrees: cells beyond x + y = 0.6 are wall.
  for (double x_m = 0.06; x_m < 0.7; x_m += 0.05) {
    for (double y_m = 0.06; y_m < 0.7; y_m += 0.05) {
      if (x_m + y_m < 0.7) home.grid.probability[home.cell_at(x_m, y_m)] = 0.9F;
    }
  }
  std::vector<WallLine> walls = faces_of_left();
  walls.push_back({{0.0, 0.68}, {0.68, 0.0}, 0.002, 3, 100});
  const double area_m2 = floors_of(home, walls)[0].area_m2;
  const double whole_m2 = floors_of(TwoRooms(), faces_of_left())[0].area_m2;
  EXPECT_NEAR(whole_m2 - area_m2, 0.5 * 0.6 * 0.6, 0.02);
}

}  // namespace
}  // namespace wainscot
