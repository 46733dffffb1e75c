#include "graph/check/sight_diagnosis.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A hundred scans in ten seconds, all of which fit one another, at rest.
struct Seen {
  TurnScans scans;
  LidarMotion motion;

  Seen() {
    scans.scans.resize(100);
    scans.turn_s = 0.1;
    scans.turns = 1.0;
    motion.velocities.assign(100, Tangent2::Zero());
    motion.steps.resize(99);
    for (LidarStride& step : motion.steps) step.sure = true;
  }

  std::vector<Finding> findings(std::size_t logged = 100, double sweep_s = 0.1, double way_between_m = 0.05) const {
    return sight_diagnosis(logged, way_between_m, scans, motion, sweep_s, {}).findings;
  }
};

TEST(SightDiagnosis, EnoughIsSeen) {
  EXPECT_TRUE(Seen().findings().empty());
  EXPECT_TRUE(Seen().findings(142).empty());
}

TEST(SightDiagnosis, TooFewScansOrTooManyThatDoNotFit) {
  const auto few = Seen().findings(150);
  ASSERT_EQ(few.size(), 1U);
  EXPECT_EQ(few[0].fault, Fault::too_little_seen);
  EXPECT_NE(few[0].figure.find("33 %"), std::string::npos) << few[0].figure;
  Seen unsure;
  for (std::size_t i = 0; i < 31; ++i) unsure.motion.steps[i].sure = false;
  ASSERT_EQ(unsure.findings().size(), 1U);
  EXPECT_EQ(unsure.findings()[0].fault, Fault::too_little_seen);
}

TEST(SightDiagnosis, ScansAMetreApartAreNotSaidToSeeTooLittle) {
  Seen unsure;
  EXPECT_TRUE(unsure.findings(100, 0.1, 1.05).empty());
  for (std::size_t i = 0; i < 31; ++i) unsure.motion.steps[i].sure = false;
  const auto apart = unsure.findings(100, 0.1, 1.05);
  ASSERT_EQ(apart.size(), 1U);
  EXPECT_EQ(apart[0].fault, Fault::too_little_seen);
  EXPECT_NE(apart[0].what.find("too far apart"), std::string::npos) << apart[0].what;
  EXPECT_NE(apart[0].figure.find("1.05 m"), std::string::npos) << apart[0].figure;
  const auto empty = unsure.findings(150, 0.1, 1.05);  // and most scans hold nothing
  ASSERT_EQ(empty.size(), 1U);
  EXPECT_EQ(empty[0].what, "too little is seen");
}

TEST(SightDiagnosis, TurnsThatSmearScansOver30Degrees) {
  Seen fast;
  for (std::size_t i = 0; i < 6; ++i) fast.motion.velocities[i].z() = -6.0;  // 34 degrees in 0.1 s
  const auto findings = fast.findings();
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(findings[0].fault, Fault::too_fast);
  EXPECT_EQ(findings[0].act, "turn at 148° a second at most");  // 15 degrees a turn
  EXPECT_TRUE(fast.findings(100, 0.08).empty());
  EXPECT_EQ(fast.findings(100, -0.1).size(), 1U);
}

TEST(SightDiagnosis, FiveFastScansAreLetPass) {
  Seen fast;
  for (std::size_t i = 0; i < 5; ++i) fast.motion.velocities[i].z() = 6.0;
  EXPECT_TRUE(fast.findings().empty());
}

}  // namespace
}  // namespace wainscot
