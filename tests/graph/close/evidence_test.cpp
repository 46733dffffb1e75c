#include "graph/close/evidence.hpp"

#include <algorithm>
#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/close/looped_drive.hpp"

namespace wainscot {
namespace {

Proposal pair(std::size_t from, std::size_t to, bool anywhere) {
  return {from, to, {}, covariance_of(3.0, 0.1), anywhere};
}

/// Without asking the walls.
Verified fitting(std::size_t from, std::size_t to) {
  Verified verified;
  verified.fit = Fit::fits;
  verified.candidate.from = from;
  verified.candidate.to = to;
  return verified;
}

TEST(Evidence, KeepsWhatWasTriedAndWhy) {
  const Evidence evidence =
      with_proposals({}, {pair(3, 40, false), pair(9, 41, true)}, {fitting(3, 40), fitting(9, 41)});
  ASSERT_EQ(evidence.tried.size(), 2U);
  EXPECT_EQ(evidence.tried[0].origin, Origin::nearness);
  EXPECT_EQ(evidence.tried[1].origin, Origin::likeness);
  EXPECT_DOUBLE_EQ(evidence.tried[1].sd_m, 3.0);
  EXPECT_EQ(evidence.tried[1].verified.candidate.to, 41U);
  EXPECT_FALSE(evidence.tried[1].hypothesis);
}

TEST(Evidence, ChanceIsWhatTheDriftExcludesThoughTheWallsFit) {
  EXPECT_DOUBLE_EQ(chance_of_fit({}), 1.0 / 64.0);
  std::vector<Tried> tried(31);
  for (Tried& t : tried) t.origin = Origin::likeness;
  EXPECT_DOUBLE_EQ(chance_of_fit(tried), 1.0 / 95.0);
  tried[3].verified.outside_drift = tried[4].verified.outside_drift = true;
  EXPECT_DOUBLE_EQ(chance_of_fit(tried), 3.0 / 95.0);
  tried[0].verified.fit = Fit::fits;  // may be the same place
  EXPECT_DOUBLE_EQ(chance_of_fit(tried), 3.0 / 94.0);
  tried[4].origin = Origin::nearness;  // was not sought by its looks
  EXPECT_DOUBLE_EQ(chance_of_fit(tried), 2.0 / 93.0);
  EXPECT_DOUBLE_EQ(chance_of_fit(std::vector<Tried>(5000, tried[1])), 0.002) << "but never none";
}

TEST(Evidence, AShareOfThePosesThatAreSearchedLiesWithinTheDrift) {
  const auto share = [](double sd_m, double sd_rad) {
    const Proposal proposal{3, 40, {}, covariance_of(sd_m, sd_rad), true};
    return with_proposals({}, {proposal}, {fitting(3, 40)}).tried[0].share;
  };
  // Within the gate 16.27 pi sd^2 of 16 m2, and one heading of four.
  EXPECT_NEAR(share(0.2, 0.05), 0.25 * 16.266 * 3.14159 * 0.04 / 16.0, 1e-4);
  EXPECT_DOUBLE_EQ(share(3.0, 0.1), 0.25);
  EXPECT_DOUBLE_EQ(share(3.0, 3.0), 1.0);
}

TEST(Evidence, FailuresAreForgottenHintsAreNot) {
  Evidence evidence = with_proposals({}, {pair(3, 40, false), pair(4, 41, true), pair(9, 42, true)},
                                     {fitting(3, 40), fitting(4, 41), fitting(9, 42)});
  evidence.tried.push_back({Verified{}, Origin::hint});
  evidence.tried[0].verified.fit = Fit::open;
  evidence.tried[2].verified.fit = Fit::contradicts;
  const Evidence left = without_failures(evidence);
  ASSERT_EQ(left.tried.size(), 2U);
  EXPECT_EQ(left.tried[0].verified.candidate.to, 41U);
  EXPECT_EQ(left.tried[1].origin, Origin::hint);
}

TEST(Evidence, NothingIsTriedTwice) {
  Evidence evidence = with_proposals({}, {pair(4, 40, false), pair(9, 41, true)}, {fitting(4, 40), fitting(9, 41)});
  evidence.tried.push_back({fitting(20, 50), Origin::hypothesis});
  evidence.tried.push_back({fitting(30, 60), Origin::hint});
  evidence.tried.push_back({fitting(32, 62), Origin::marker});
  const auto kept = [&](const Proposal& proposal) { return !without_tried({proposal}, evidence).empty(); };
  EXPECT_FALSE(kept(pair(4, 40, false)));
  EXPECT_FALSE(kept(pair(5, 40, false))) << "the node beside sees the same";
  EXPECT_TRUE(kept(pair(6, 40, false)));
  EXPECT_TRUE(kept(pair(4, 41, false)));
  EXPECT_FALSE(kept(pair(20, 50, false))) << "a hypothesis asked already";
  EXPECT_FALSE(kept(pair(9, 41, true)));
  EXPECT_TRUE(kept(pair(8, 41, true)));
  EXPECT_TRUE(kept(pair(9, 41, false))) << "now the drift says where";
  EXPECT_TRUE(kept(pair(4, 40, true)));
  EXPECT_TRUE(kept(pair(30, 60, false))) << "a hint and a marker ask otherwise";
  EXPECT_TRUE(kept(pair(32, 62, false)));
}

/// Twice round a room; between the rounds the robot was carried.
struct Carried {
  LoopedDrive drive{2};
  Chain chain;
  Evidence evidence;

  Carried() : chain((drive.lift(drive.tour, {11.0, -6.0, 2.1}), chain_of(drive.tracked, kNoise))) {}
  void look_alike(std::size_t i, double overlap, const Pose2& error = {}) {
    Tried tried;
    tried.verified = drive.closure(i, drive.tour + i, error);
    tried.verified.candidate.overlap = overlap;
    tried.origin = Origin::likeness;
    tried.sd_m = 100.0;
    evidence.tried.push_back(tried);
  }
};

TEST(Evidence, PairsThatSayTheSameAreOneHypothesisBegunWithTheBest) {
  Carried carried;
  carried.look_alike(10, 0.8);
  carried.look_alike(14, 0.95);
  carried.look_alike(12, 0.9, {0.9, 0.4, 1.5});
  carried.look_alike(20, 0.9);
  carried.evidence.tried.back().verified.fit = Fit::contradicts;
  const Evidence found = with_hypotheses(carried.evidence, carried.chain, ForbiddenPairs({}, carried.chain));
  ASSERT_EQ(found.hypotheses.size(), 2U);
  EXPECT_EQ(found.hypotheses[0].seed.candidate.from, 14U);
  EXPECT_EQ(found.hypotheses[0].sd_m, 100.0);
  EXPECT_EQ(found.tried[0].hypothesis, 0U);
  EXPECT_EQ(found.tried[1].hypothesis, 0U);
  EXPECT_EQ(found.tried[2].hypothesis, 1U);
  EXPECT_FALSE(found.tried[3].hypothesis) << "does not fit";
  const auto followed = std::count_if(found.tried.begin(), found.tried.end(), [](const Tried& t) {
    return t.origin == Origin::hypothesis && t.hypothesis == 0U;
  });
  EXPECT_EQ(static_cast<std::size_t>(followed), found.hypotheses[0].fits.size() - 1);
  EXPECT_GE(followed, 5);
  // Asked again, nothing is new.
  const Evidence again = with_hypotheses(found, carried.chain, ForbiddenPairs({}, carried.chain));
  EXPECT_EQ(again.tried.size(), found.tried.size());
  EXPECT_EQ(again.hypotheses.size(), 2U);
}

TEST(Evidence, WhatTheDriverForbidsDoesNotFollowFromAHypothesis) {
  Carried carried;
  carried.look_alike(10, 0.9);
  const Evidence free = with_hypotheses(carried.evidence, carried.chain, ForbiddenPairs({}, carried.chain));
  ASSERT_GT(free.tried.size(), 2U);
  const LoopCandidate& some = free.tried.back().verified.candidate;
  const Hint apart{static_cast<double>(some.from), static_cast<double>(some.to), false};
  const Evidence left = with_hypotheses(carried.evidence, carried.chain, ForbiddenPairs({apart}, carried.chain));
  EXPECT_LT(left.tried.size(), free.tried.size());
  for (const Tried& t : left.tried) {
    EXPECT_FALSE(t.verified.candidate.from == some.from && t.verified.candidate.to == some.to);
  }
}

}  // namespace
}  // namespace wainscot
