#include "graph/calibrate/missing_drives.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

DriveCalibration good_drive() {
  DriveCalibration found;
  found.observed.fill(true);
  found.straight_m = 10.0;
  found.left_turn_rad = 12.0;
  found.right_turn_rad = 10.0;
  return found;
}

std::string only_sentence(const DriveCalibration& found) {
  const std::vector<std::string> missing = missing_drives(found);
  EXPECT_EQ(missing.size(), 1U);
  return missing.empty() ? "" : missing.front();
}

TEST(MissingDrives, NoneWhereAllIsObserved) { EXPECT_TRUE(missing_drives(good_drive()).empty()); }

TEST(MissingDrives, TurnsBothWays) {
  DriveCalibration found = good_drive();
  found.left_turn_rad = 0.5;
  EXPECT_NE(only_sentence(found).find("round to the left."), std::string::npos);
  found = good_drive();
  found.right_turn_rad = 0.5;
  EXPECT_NE(only_sentence(found).find("round to the right."), std::string::npos);
  found.left_turn_rad = 0.5;
  EXPECT_NE(only_sentence(found).find("hardly turned"), std::string::npos);
  found = good_drive();
  found.observed[kLidarY] = false;
  EXPECT_NE(only_sentence(found).find("turned too little"), std::string::npos);
}

TEST(MissingDrives, AStraight) {
  DriveCalibration found = good_drive();
  found.straight_m = 1.0;
  EXPECT_NE(only_sentence(found).find("3 m straight ahead"), std::string::npos);
  found = good_drive();
  found.observed[kLidarHeading] = false;
  EXPECT_NE(only_sentence(found).find("3 m straight ahead"), std::string::npos);
}

TEST(MissingDrives, BriskTurnsForTheClocks) {
  DriveCalibration found = good_drive();
  found.observed[kClockOffset] = false;
  EXPECT_NE(only_sentence(found).find("offset between the clocks"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
