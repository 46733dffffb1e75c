#include "io/convert/angle_list.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Ranges, and beside them `first + step * beam` of the beams that answered.
RecordKind kind_with(double first, double step, int beams, bool lost) {
  RecordKind kind;
  kind.arrays.resize(2);
  for (int record = 0; record < 20; ++record) {
    std::vector<double>& ranges = kind.arrays[0].rows.emplace_back();
    std::vector<double>& angles = kind.arrays[1].rows.emplace_back();
    for (int b = 0; b < beams; ++b) {
      if (lost && (b + record) % 7 == 0) continue;
      ranges.push_back(2.0 + std::sin(0.1 * b));
      angles.push_back(first + step * b);
    }
  }
  kind.records = 20;
  return kind;
}

TEST(AngleList, DegreesOrRadiansEitherWay) {
  const auto degrees = angle_list_beside(kind_with(120.0, -0.5, 480, true), 0);
  ASSERT_TRUE(degrees);
  EXPECT_EQ(degrees->array, 1U);
  EXPECT_EQ(degrees->unit, "deg");
  const auto radians = angle_list_beside(kind_with(-3.1, 0.0175, 355, true), 0);
  ASSERT_TRUE(radians);
  EXPECT_EQ(radians->unit, "rad");
  EXPECT_TRUE(angle_list_beside(kind_with(0.0, 1.0, 360, true), 0));  // whole degrees, once round
}

TEST(AngleList, TheSameAnglesInEachRecordNeedNoList) {
  EXPECT_FALSE(angle_list_beside(kind_with(120.0, -0.5, 480, false), 0));
}

TEST(AngleList, NumbersRangesAndShorterListsAreNone) {
  EXPECT_FALSE(angle_list_beside(kind_with(0.0, 1.0, 480, true), 0));  // numbers of the beams
  EXPECT_FALSE(angle_list_beside(kind_with(120.0, -0.5, 480, true), 1));
  RecordKind shorter = kind_with(120.0, -0.5, 480, true);
  for (std::vector<double>& row : shorter.arrays[1].rows) row.pop_back();
  EXPECT_FALSE(angle_list_beside(shorter, 0));
}

}  // namespace
}  // namespace wainscot
