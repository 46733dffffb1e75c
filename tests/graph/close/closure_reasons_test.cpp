#include "graph/close/closure_reasons.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

Tried tried_by(Origin origin) {
  Tried tried;
  tried.origin = origin;
  tried.verified.candidate.from = 3;
  tried.verified.candidate.to = 70;
  tried.verified.candidate.reason = "too few walls coincide";
  tried.verified.hinted = origin == Origin::hint;
  if (origin == Origin::marker) tried.verified.marker = "7";
  if (origin == Origin::likeness) tried.hypothesis = 0;
  return tried;
}

std::string reason(Origin origin, const Judgement& judgement) { return told(tried_by(origin), judgement).reason; }

TEST(ClosureReasons, OnlyTheAcceptedAreAccepted) {
  for (const Outcome outcome :
       {Outcome::unfit, Outcome::doubted, Outcome::disagrees, Outcome::withdrawn, Outcome::accepted}) {
    const LoopCandidate candidate = told(tried_by(Origin::nearness), {outcome, Doubt::refuted});
    EXPECT_EQ(candidate.verdict == Verdict::accepted, outcome == Outcome::accepted);
    EXPECT_EQ(candidate.from, 3U);
    EXPECT_EQ(candidate.to, 70U);
    EXPECT_FALSE(candidate.reason.empty());
  }
}

TEST(ClosureReasons, WhatDoesNotFitSaysWhatTheWallsSay) {
  EXPECT_EQ(reason(Origin::nearness, {}), "too few walls coincide");
  EXPECT_EQ(reason(Origin::hint, {}), "a hint says that this is the same place, but too few walls coincide");
  EXPECT_EQ(reason(Origin::marker, {}), "marker 7 was seen at both times, but too few walls coincide");
}

TEST(ClosureReasons, WhoVouchedIsNamed) {
  EXPECT_EQ(reason(Origin::nearness, {Outcome::disagrees}), "does not agree with the other closures");
  EXPECT_EQ(reason(Origin::hint, {Outcome::disagrees}),
            "a hint says that this is the same place, but it does not agree with the closures");
  EXPECT_EQ(reason(Origin::marker, {Outcome::withdrawn}),
            "marker 7 was seen at both times, but the graph cannot be bent so far: the rest of the drive speaks "
            "against it");
  EXPECT_EQ(reason(Origin::hint, {Outcome::accepted}), "a hint says so, and the walls do not contradict it");
}

TEST(ClosureReasons, AMarkerSaysWhetherTheWallsConfirmIt) {
  Tried marked = tried_by(Origin::marker);
  const std::string confirmed = told(marked, {Outcome::accepted}).reason;
  EXPECT_NE(confirmed.find("walls coincide"), std::string::npos);
  marked.verified.by_marker_alone = true;
  const std::string alone = told(marked, {Outcome::accepted}).reason;
  EXPECT_EQ(alone.find("walls coincide"), std::string::npos);
  EXPECT_NE(alone.find("the walls do not contradict it"), std::string::npos);
}

TEST(ClosureReasons, AHypothesisSaysWhatBeliefRestsOn) {
  EXPECT_NE(reason(Origin::likeness, {Outcome::accepted}).find("so do the places before and behind"),
            std::string::npos);
  EXPECT_EQ(reason(Origin::nearness, {Outcome::accepted}).find("before and behind"), std::string::npos);
  const std::string rivalled = reason(Origin::likeness, {Outcome::doubted, Doubt::rivalled});
  EXPECT_NE(rivalled.find("another place fits about as well"), std::string::npos);
  EXPECT_EQ(reason(Origin::likeness, {Outcome::doubted, Doubt::contradicted_later}),
            "what was seen later contradicts it");
}

TEST(ClosureReasons, AYesThatTheMapWasMadeWithoutIsAWarning) {
  const std::vector<Hint> hints{{1.0, 2.0, false}, {12.5, 90.0, true}, {20.0, 99.0, true}};
  Evidence evidence;
  evidence.tried = {tried_by(Origin::hint), tried_by(Origin::nearness), tried_by(Origin::hint)};
  evidence.tried[0].which = 1;
  evidence.tried[2].which = 2;
  const std::vector<LoopCandidate> candidates = told_all(evidence, {{}, {}, {Outcome::accepted}});
  ASSERT_EQ(candidates.size(), 3U);
  const std::vector<std::string> warnings = hint_warnings(hints, evidence, candidates);
  ASSERT_EQ(warnings.size(), 1U);
  EXPECT_NE(warnings[0].find("12.5 and 90.0 s"), std::string::npos);
  EXPECT_NE(warnings[0].find(candidates[0].reason), std::string::npos);
}

}  // namespace
}  // namespace wainscot
