#include "graph/measure/tape_evidence.hpp"

#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <Eigen/Dense>

#include "tests/graph/tape_room.hpp"

namespace wainscot {
namespace {

constexpr double kScaleSd = 0.001;

/// The room of 4 m by 3 m as a map that knows its scale to 0.1 % and the range offset to a millimetre.
struct TapedRoom {
  TapeRoom room;
  TapedRoom() {
    room.map().scale.covariance = Eigen::Vector3d(kScaleSd * kScaleSd, 1e-6, kScaleSd * kScaleSd).asDiagonal();
  }
  TapeEvidence evidence(const std::vector<LaidTape>& tapes) {
    const MeasurableMap measurable(room.map(), room.returns(), OffsetUncertainty::apart);
    return tape_evidence(room.map(), measurable, tapes);
  }
};

/// Along the room, at a distance from its lower wall.
LaidTape along(const std::string& name, double y_m, double tape_m) {
  return {name, {{0.05, y_m}, {3.95, y_m}}, tape_m, 0.002};
}

LaidTape across(const std::string& name, double x_m, double tape_m) {
  return {name, {{x_m, 0.05}, {x_m, 2.95}}, tape_m, 0.002};
}

double scale_asked_for(const LengthEvidence& evidence) {
  // Together with what the map knows of the offset (1 mm), its scale left open.
  Eigen::Matrix2d information = evidence.information.block<2, 2>(kRangeScale, kRangeScale);
  information(1, 1) += 1e6;
  return (information.inverse() * evidence.pull.segment<2>(kRangeScale))[0];
}

TEST(TapeEvidenceTest, ATapeAsksForTheScaleThatItSees) {
  const TapeEvidence evidence = TapedRoom().evidence({along("hall", 1.5, 4.004)});
  ASSERT_EQ(evidence.tapes.size(), 1U);
  EXPECT_EQ(evidence.tapes[0].left_out, "");
  ASSERT_TRUE(evidence.tapes[0].without_m);
  EXPECT_NEAR(*evidence.tapes[0].without_m, 4.0, 0.001);
  // 4 mm of 4 m, of which surfaces and range offset may be the cause of some.
  const double asked = scale_asked_for(evidence.lengths);
  EXPECT_GT(asked, 0.0);
  EXPECT_LT(asked, 0.0012);
  EXPECT_TRUE(evidence.warnings.empty());
  EXPECT_EQ(evidence.lengths.widening, 1.0);
}

TEST(TapeEvidenceTest, WhatTheMapFoundAlreadyIsNotCountedTwice) {
  TapedRoom changed;
  changed.room.map().scale.change = {0.002, 0.0, 0.0};  // the room of 4 m is as it comes out with that
  const TapeEvidence evidence = changed.evidence({along("hall", 1.5, 4.0)});
  EXPECT_NEAR(scale_asked_for(evidence.lengths), 0.002, 3e-4);
}

TEST(TapeEvidenceTest, AMistypedTapeIsNamedAndLeftOut) {
  const std::vector<LaidTape> right{along("hall", 1.5, 4.001), across("window", 1.0, 3.001), across("door", 3.0, 3.0)};
  std::vector<LaidTape> tapes = right;
  tapes.insert(tapes.begin() + 1, across("typo", 2.0, 3.1));
  const TapeEvidence evidence = TapedRoom().evidence(tapes);
  ASSERT_EQ(evidence.warnings.size(), 1U);
  EXPECT_EQ(evidence.warnings[0].find("tape 2 (typo) is left out: it says 3.100 m where the map has 3.00"), 0U)
      << evidence.warnings[0];
  EXPECT_NE(evidence.tapes[1].left_out, "");
  const LengthEvidence without = TapedRoom().evidence(right).lengths;
  EXPECT_TRUE(evidence.lengths.information.isApprox(without.information, 1e-9));
  EXPECT_TRUE(evidence.lengths.pull.isApprox(without.pull, 1e-9));
}

TEST(TapeEvidenceTest, OfTwoTapesTheOneFurtherOffTheMapIsLeftOut) {
  const TapeEvidence evidence = TapedRoom().evidence({across("typo", 2.0, 2.9), along("hall", 1.5, 4.003)});
  EXPECT_NE(evidence.tapes[0].left_out, "");
  EXPECT_EQ(evidence.tapes[1].left_out, "");
}

TEST(TapeEvidenceTest, ASingleTapeThatTheMapContradictsIsLeftOut) {
  const TapeEvidence evidence = TapedRoom().evidence({along("hall", 1.5, 4.2)});
  EXPECT_FALSE(evidence.lengths.any());
  ASSERT_EQ(evidence.warnings.size(), 1U);
  EXPECT_NE(evidence.warnings[0].find("off what robot.yaml lets expect; measure it again"), std::string::npos);
}

TEST(TapeEvidenceTest, TapesThatAgreeAreBelievedAgainstTheMap) {
  const double right = 1.012;  // twelve standard uncertainties of the map's scale
  const TapeEvidence evidence = TapedRoom().evidence(
      {along("hall", 1.5, 4.0 * right), across("door", 1.0, 3.0 * right), along("sill", 2.3, 4.0 * right)});
  for (const MappedTape& tape : evidence.tapes) EXPECT_EQ(tape.left_out, "") << tape.name;
  EXPECT_GT(evidence.lengths.widening, 2.0);
  ASSERT_EQ(evidence.warnings.size(), 1U);
  EXPECT_NE(evidence.warnings[0].find("the tapes agree with one another, but differ from the map"), std::string::npos);
}

TEST(TapeEvidenceTest, WhatCannotBeMeasuredIsToldAndLeftOut) {
  const TapeEvidence evidence = TapedRoom().evidence({{"nowhere", {{0.05, 1.5}, {2.0, 1.5}}, 2.0, 0.002}});
  EXPECT_FALSE(evidence.lengths.any());
  EXPECT_FALSE(evidence.tapes[0].without_m);
  EXPECT_EQ(evidence.warnings.at(0),
            "tape 1 (nowhere) is left out: there is no wall within 0.4 m of its second point (2.00, 1.50) m; give "
            "points near two faces, in the map's frame");
}

TEST(TapeEvidenceTest, TapesThatTouchOneFaceShareItsBias) {
  TapeMeasure room;
  room.own_sd_m = 0.008;
  room.by_range_offset = 2.0;
  room.from_m = {0.0, 1.0};
  room.to_m = {4.0, 1.0};
  TapeMeasure beside = room;  // the same two walls
  beside.from_m.y() = beside.to_m.y() = 2.0;
  TapeMeasure shorter = room;  // one of them, and a cupboard
  shorter.to_m.x() = 3.0;
  TapeMeasure other = room;  // another room
  other.from_m.x() = 10.0;
  other.to_m.x() = 14.0;
  TapeMeasure wall =
      room;  // through the wall at the far end: its near side is the room's, which looks away from the tape
  wall.from_m = {4.0, 1.0};
  wall.to_m = {4.1, 1.0};
  wall.by_range_offset = -2.0;
  const Eigen::MatrixXd c = tape_covariance({room, beside, shorter, other, wall}, Eigen::VectorXd::Constant(5, 0.002));
  const double face = WallModel().face_bias_sd_m * WallModel().face_bias_sd_m;
  EXPECT_NEAR(c(0, 0), 64e-6 + 4e-6, 1e-12);
  EXPECT_NEAR(c(0, 1), 2.0 * face, 1e-12);
  EXPECT_NEAR(c(0, 2), face, 1e-12);
  EXPECT_EQ(c(0, 3), 0.0);
  EXPECT_NEAR(c(0, 4), -face, 1e-12);
  EXPECT_GT(Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(c).eigenvalues().minCoeff(), 0.0);
}

TEST(TapeEvidenceTest, NoTapeHoldsMoreOfAFaceThanItsOwnUncertainty) {
  TapeMeasure sure;
  sure.own_sd_m = 0.001;
  sure.by_range_offset = 2.0;
  sure.from_m = {0.0, 1.0};
  sure.to_m = {4.0, 1.0};
  const Eigen::MatrixXd c = tape_covariance({sure, sure}, Eigen::Vector2d(1e-4, 1e-4));
  EXPECT_NEAR(c(0, 1), 1e-6, 1e-12);
  EXPECT_GT(c.determinant(), 0.0);
}

}  // namespace
}  // namespace wainscot
