#include "graph/close/hypothesis.hpp"

#include <cmath>
#include <optional>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/close/looped_drive.hpp"

namespace wainscot {
namespace {

const Pose2 kAnotherCorner{0.9, 0.4, 1.5};  // an error that puts a later node into another corner of the room
constexpr double kSeldom = 0.01;  // of two places that are not the same, walls coincide: two witnesses are enough

/// Twice round a room; between the rounds the robot was carried, so that only hypotheses can join them.
struct CarriedBetween {
  LoopedDrive drive{2};
  Chain chain;

  CarriedBetween() : chain((drive.lift(drive.tour, {11.0, -6.0, 2.1}), chain_of(drive.tracked, kNoise))) {}

  /// Says that node `i` of the second round is node `i` of the first, off by `error`.
  Verified seed(std::size_t i, const Pose2& error = {}) const { return drive.closure(i, drive.tour + i, error); }

  /// As if tested: fits at every fourth node of the second round from `first` on.
  Hypothesis made(std::size_t first, std::size_t fits, double sd_m, const Pose2& error = {}) const {
    Hypothesis h;
    h.seed = seed(first, error);
    h.sd_m = sd_m;
    for (std::size_t i = 0; i < fits; ++i) h.fits.push_back(seed((first + 4 * i) % drive.tour, error));
    return h;
  }
};

/// Where the drift spans rooms, fits in one room are too little however many they are. For what else is asked of such
/// hypotheses: the extent of this room, whose nodes lie up to 3.6 m apart, is enough.
HypothesisOptions one_room() {
  HypothesisOptions options;
  options.wide_least_extent_m = 2.8;
  return options;
}

TEST(Hypothesis, ARightOneFitsAllAlongTheWay) {
  const CarriedBetween carried;
  const Hypothesis h = tested(carried.seed(19), 100.0, carried.chain);
  EXPECT_EQ(h.sd_m, 100.0);
  EXPECT_TRUE(h.against.empty());
  ASSERT_GE(h.fits.size(), 6U);
  EXPECT_EQ(h.fits[0].candidate.to, carried.drive.tour + 19) << "the seed is the first";
  bool before = false;
  bool behind = false;
  for (const Verified& fit : h.fits) {
    const LoopCandidate& c = fit.candidate;
    EXPECT_LT(c.from, carried.drive.tour);
    EXPECT_GE(c.to, carried.drive.tour);
    EXPECT_LT(apart_m(c.found, carried.drive.relative(c.from, c.to)), 0.02) << c.from << " and " << c.to;
    before = before || c.to < carried.drive.tour + 19;
    behind = behind || c.to > carried.drive.tour + 19;
  }
  EXPECT_TRUE(before && behind);
  EXPECT_FALSE(doubts({h}, carried.chain, kSeldom, one_room())[0]);
  EXPECT_EQ(doubts({h}, carried.chain, kSeldom)[0], Doubt::too_little) << "one room is not enough";
}

TEST(Hypothesis, AWrongOneIsContradictedBeforeAndBehindAndRefuted) {
  const CarriedBetween carried;
  const Hypothesis h = tested(carried.seed(19, kAnotherCorner), 100.0, carried.chain);
  EXPECT_GE(h.against.size(), 3U);
  EXPECT_GT(h.against.size(), h.fits.size());
  EXPECT_EQ(doubts({h}, carried.chain, kSeldom)[0], Doubt::refuted);
}

TEST(Hypothesis, TestsNoFurtherThanItsWay) {
  const CarriedBetween carried;
  HypothesisOptions near;
  near.way_m = 2.5;
  const Hypothesis h = tested(carried.seed(19), 100.0, carried.chain, near);
  for (const Verified& fit : h.fits) {
    EXPECT_LE(std::abs(carried.chain.ways_m[fit.candidate.to] - carried.chain.ways_m[carried.drive.tour + 19]), 2.5);
  }
  EXPECT_LE(h.fits.size(), 5U);  // the seed, and two each way
}

TEST(Hypothesis, ExplainsWhatSaysTheSameNearBy) {
  const CarriedBetween carried;
  Hypothesis h;
  h.seed = carried.seed(10);
  EXPECT_TRUE(explains(h, carried.seed(14), carried.chain));
  EXPECT_FALSE(explains(h, carried.seed(14, kAnotherCorner), carried.chain)) << "says something else";
  HypothesisOptions near;
  near.way_m = 1.0;
  EXPECT_FALSE(explains(h, carried.seed(14), carried.chain, near)) << "was not tested so far away";
}

TEST(Hypothesis, WhatIsNotEnoughToExcludeChanceIsTooLittle) {
  const CarriedBetween carried;
  const double narrow_m = 1.0;
  const Hypothesis three = carried.made(4, 3, narrow_m);  // 2.2 m apart: two witnesses
  EXPECT_FALSE(doubts({three}, carried.chain, 0.035)[0]) << "four places, 0.035 squared: under one in two hundred";
  EXPECT_EQ(doubts({three}, carried.chain, 0.036)[0], Doubt::too_little) << "over it";
  EXPECT_EQ(doubts({carried.made(4, 9, narrow_m)}, carried.chain, 0.07)[0], Doubt::too_little)
      << "all in one room of less than four metres are no three witnesses";
  EXPECT_EQ(doubts({carried.made(4, 1, narrow_m)}, carried.chain, 1e-6)[0], Doubt::too_little);
}

TEST(Hypothesis, ACoincidenceWouldSeldomLieWithinANarrowDrift) {
  const CarriedBetween carried;
  Hypothesis h = carried.made(4, 3, 1.0);
  EXPECT_EQ(doubts({h}, carried.chain, 0.1)[0], Doubt::too_little);
  h.share = 0.1;
  EXPECT_FALSE(doubts({h}, carried.chain, 0.1)[0]) << "four places, a tenth of each, 0.1 squared: one in 250";
}

TEST(Hypothesis, AContradictionTakesTenfoldFromWhatFits) {
  const CarriedBetween carried;
  Hypothesis h = carried.made(4, 9, 1.0);  // two witnesses
  h.against.push_back(carried.drive.tour + 9);
  EXPECT_FALSE(doubts({h}, carried.chain, 0.011)[0]) << "4 x 10 x 0.011 squared";
  EXPECT_EQ(doubts({h}, carried.chain, 0.012)[0], Doubt::too_little);
  h.against.push_back(carried.drive.tour + 9);
  EXPECT_FALSE(doubts({h}, carried.chain, 0.011)[0]) << "the same place again says nothing new";
}

TEST(Hypothesis, WhereTheDriftSpansRoomsOneRoomIsTooLittle) {
  const CarriedBetween carried;
  const double rooms_m = 5.0;
  EXPECT_FALSE(doubts({carried.made(4, 9, rooms_m)}, carried.chain, kSeldom, one_room())[0]);
  EXPECT_EQ(doubts({carried.made(4, 9, rooms_m)}, carried.chain, kSeldom)[0], Doubt::too_little);
}

TEST(Hypothesis, FitsInOneCornerAreOneWitness) {
  const CarriedBetween carried;
  Hypothesis h = carried.made(4, 1, 1.0);
  for (std::size_t i = 5; i < 10; ++i) h.fits.push_back(carried.seed(i));
  EXPECT_EQ(doubts({h}, carried.chain, 1e-6)[0], Doubt::too_little) << "1.4 m of way";
  // The first fit of each metre stands for it: of the two metres here these are two steps of 0.28 m apart.
  HypothesisOptions options;
  options.least_extent_m = options.witness_m = 0.6;
  EXPECT_EQ(doubts({h}, carried.chain, kSeldom, options)[0], Doubt::too_little);
  options.least_extent_m = options.witness_m = 0.5;
  EXPECT_FALSE(doubts({h}, carried.chain, kSeldom, options)[0]);
}

TEST(Hypothesis, ThoseThatSayTheSameAreCountedTogether) {
  const CarriedBetween carried;
  const std::vector<Hypothesis> two{carried.made(2, 1, 5.0), carried.made(20, 1, 5.0)};
  EXPECT_EQ(doubts({two[0]}, carried.chain, kSeldom, one_room())[0], Doubt::too_little);
  EXPECT_EQ(doubts({two[1]}, carried.chain, kSeldom, one_room())[0], Doubt::too_little);
  for (const std::optional<Doubt>& doubt : doubts(two, carried.chain, kSeldom, one_room())) EXPECT_FALSE(doubt);
}

TEST(Hypothesis, ARivalThatExplainsAboutAsMuchMakesBothDoubtful) {
  const CarriedBetween carried;
  const Hypothesis right = carried.made(4, 9, 5.0);
  const std::vector<std::optional<Doubt>> equal =
      doubts({right, carried.made(6, 8, 5.0, kAnotherCorner)}, carried.chain, kSeldom, one_room());
  EXPECT_EQ(equal[0], Doubt::rivalled);
  EXPECT_EQ(equal[1], Doubt::rivalled);
  EXPECT_FALSE(doubts({right, carried.made(6, 4, 5.0, kAnotherCorner)}, carried.chain, kSeldom, one_room())[0])
      << "a weak one is none";
  Hypothesis refuted = carried.made(6, 8, 5.0, kAnotherCorner);
  for (std::size_t i = 0; i < 5; ++i) refuted.against.push_back(carried.drive.tour + 1 + 4 * i);
  EXPECT_FALSE(doubts({right, refuted}, carried.chain, kSeldom, one_room())[0]);
}

}  // namespace
}  // namespace wainscot
