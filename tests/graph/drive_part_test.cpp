#include "graph/drive_part.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(DrivePart, ScansAndTimesBelongToTheLastPartThatBeginsBeforeThem) {
  const std::vector<DrivePart> parts = {{"a", 0, -50.0, 0.0, true}, {"b", 7, 150.0, 200.0, false}};
  EXPECT_EQ(part_of_scan(parts, 0), 0U);
  EXPECT_EQ(part_of_scan(parts, 6), 0U);
  EXPECT_EQ(part_of_scan(parts, 7), 1U);
  EXPECT_EQ(part_of_scan(parts, 100), 1U);
  EXPECT_EQ(part_at(parts, -60.0), 0U);
  EXPECT_EQ(part_at(parts, 149.9), 0U);
  EXPECT_EQ(part_at(parts, 150.0), 1U);
}

TEST(DrivePart, WithoutPartsAllIsOne) {
  EXPECT_EQ(part_of_scan({}, 12), 0U);
  EXPECT_EQ(part_at({}, 12.0), 0U);
}

}  // namespace
}  // namespace wainscot
