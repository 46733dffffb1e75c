#include "graph/close/judgement.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/close/looped_drive.hpp"

namespace wainscot {
namespace {

const Pose2 kOtherCorner{0.9, 0.4, 1.5};

/// Twice round a room, joined by what is added.
struct Twice {
  LoopedDrive drive{2};
  Chain chain = chain_of(drive.tracked, {0.005, 0.0});
  Evidence evidence;

  Verified pair(std::size_t i, const Pose2& error = {}) const { return drive.closure(i, drive.tour + i, error); }

  void near(std::size_t i, Fit fit, const Pose2& error = {}) {
    Tried tried;
    tried.verified = pair(i, error);
    tried.verified.fit = fit;
    evidence.tried.push_back(tried);
  }
  /// A hypothesis with so many fits, of which each fourth node is one.
  void hypothesis(std::size_t first, std::size_t fits, const Pose2& error = {}) {
    Hypothesis h;
    h.seed = pair(first, error);
    for (std::size_t i = 0; i < fits; ++i) {
      Tried tried;
      tried.verified = pair((first + 4 * i) % drive.tour, error);
      tried.origin = i == 0 ? Origin::likeness : Origin::hypothesis;
      tried.hypothesis = evidence.hypotheses.size();
      h.fits.push_back(tried.verified);
      evidence.tried.push_back(tried);
    }
    evidence.hypotheses.push_back(h);
  }
};

TEST(Judgement, WhatFitsAndAgreesIsAccepted) {
  Twice twice;
  for (const std::size_t i : {2U, 8U, 20U}) twice.near(i, Fit::fits);
  twice.near(14, Fit::fits, kOtherCorner);
  twice.near(26, Fit::contradicts);
  twice.near(30, Fit::open);
  const std::vector<Judgement> judged = judge(twice.evidence, {}, twice.chain);
  ASSERT_EQ(judged.size(), 6U);
  for (std::size_t i = 0; i < 3; ++i) EXPECT_EQ(judged[i].outcome, Outcome::accepted);
  EXPECT_EQ(judged[3].outcome, Outcome::disagrees);
  EXPECT_EQ(judged[4].outcome, Outcome::unfit);
  EXPECT_EQ(judged[5].outcome, Outcome::unfit);
  EXPECT_EQ(accepted_of(judged), (std::vector<std::size_t>{0, 1, 2}));
  for (const Judgement& judgement : judged) EXPECT_FALSE(judgement.doubt);
}

TEST(Judgement, PairsOfADoubtedHypothesisDoNotCount) {
  Twice twice;
  twice.hypothesis(2, 1);  // too few
  twice.hypothesis(4, 6);
  const std::vector<Judgement> judged =
      judge({{twice.evidence.tried.begin(), twice.evidence.tried.begin() + 1}, {twice.evidence.hypotheses.front()}}, {},
            twice.chain);
  for (const Judgement& judgement : judged) {
    EXPECT_EQ(judgement.outcome, Outcome::doubted);
    EXPECT_EQ(judgement.doubt, Doubt::too_little);
  }
  EXPECT_TRUE(accepted_of(judged).empty());
  // Together with another one that says the same, both are believed.
  EXPECT_EQ(accepted_of(judge(twice.evidence, {}, twice.chain)).size(), 7U);
}

TEST(Judgement, WhatWasSeenLaterSpeaksAgainstAHypothesisOnlyOnceItIsBelieved) {
  Twice twice;
  twice.hypothesis(4, 6);
  for (const std::size_t i : {5U, 9U, 13U, 17U}) twice.near(i, Fit::contradicts);
  const std::vector<Judgement> first = judge(twice.evidence, {}, twice.chain);
  EXPECT_EQ(accepted_of(first).size(), 6U);
  const std::vector<Judgement> later = judge(twice.evidence, accepted_of(first), twice.chain);
  EXPECT_TRUE(accepted_of(later).empty());
  EXPECT_EQ(later[0].doubt, Doubt::contradicted_later);
  // Three that fit and agree outweigh them: four against, and nine for it.
  for (const std::size_t i : {21U, 25U, 29U}) twice.near(i, Fit::fits);
  EXPECT_EQ(accepted_of(judge(twice.evidence, accepted_of(first), twice.chain)).size(), 9U);
}

// Walls that do not fit where the hypothesis does not put them say nothing of it.
TEST(Judgement, WhatIsSaidOfAnotherPlaceDoesNotSpeakAgainstAHypothesis) {
  Twice twice;
  twice.hypothesis(4, 6);
  for (const std::size_t i : {5U, 9U, 13U, 17U}) twice.near(i, Fit::contradicts, kOtherCorner);
  const std::vector<Judgement> first = judge(twice.evidence, {}, twice.chain);
  EXPECT_EQ(accepted_of(judge(twice.evidence, accepted_of(first), twice.chain)).size(), 6U);
}

TEST(Judgement, NothingTriedNothingJudged) {
  const Twice twice;
  EXPECT_TRUE(judge(twice.evidence, {}, twice.chain).empty());
}

}  // namespace
}  // namespace wainscot
