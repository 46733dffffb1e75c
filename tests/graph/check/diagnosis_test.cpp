#include "graph/check/diagnosis.hpp"

#include <stdexcept>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(Diagnosis, LinesAreOfTheMendedRobot) {
  Diagnosis diagnosis;
  diagnosis.mended.lidar.mirrored = true;
  Finding& finding = diagnosis.add(Fault::mirrored, "what", "figure", 0.9, {"lidar.mirrored", "lidar.x_m"}, "act");
  finding.or_else = Fault::swapped;
  ASSERT_EQ(diagnosis.findings.size(), 1U);
  const Finding& added = diagnosis.findings.front();
  EXPECT_EQ(added.lines, (std::vector<std::string>{"lidar.mirrored: true", "lidar.x_m: 0.000"}));
  EXPECT_EQ(added.what, "what");
  EXPECT_EQ(added.figure, "figure");
  EXPECT_EQ(added.act, "act");
  EXPECT_EQ(added.confidence, 0.9);
  EXPECT_EQ(added.or_else, Fault::swapped);
}

TEST(Diagnosis, AKeyThatNoFindingSpeaksOfIsRefused) {
  Diagnosis diagnosis;
  EXPECT_THROW(diagnosis.add(Fault::slip, "", "", 0.5, {"lidar.colour"}), std::out_of_range);
}

}  // namespace
}  // namespace wainscot
