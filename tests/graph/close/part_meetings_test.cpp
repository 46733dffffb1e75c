#include "graph/close/part_meetings.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/close/looped_drive.hpp"

namespace wainscot {
namespace {

/// Three drives through one room, of which nothing but the parts' maps says how they lie to one another.
struct ThreeParts {
  LoopedDrive drive{3};
  std::vector<DrivePart> parts{3};

  ThreeParts() {
    for (std::size_t p = 1; p < parts.size(); ++p) {
      parts[p].first_scan = p * drive.tour;
      drive.lift(p * drive.tour, {10.0 * static_cast<double>(p), 0.0, 1.0});
    }
  }
};

TEST(PartMeetings, EachLaterPartMeetsEachEarlierOneWhereItIsExpectedTo) {
  const ThreeParts three;
  const Chain chain = chain_of(three.drive.tracked, kNoise, three.parts);
  const std::vector<Proposal> meetings = propose_part_meetings(three.drive.truth, chain, ForbiddenPairs({}, chain));
  std::vector<int> of_pair(9);
  for (const Proposal& p : meetings) {
    EXPECT_LT(chain.parts[p.from], chain.parts[p.to]);
    EXPECT_FALSE(p.anywhere);
    EXPECT_EQ(p.from % three.drive.tour, p.to % three.drive.tour) << "the nearest is the same node of the other part";
    EXPECT_LT(apart_m(p.predicted, three.drive.relative(p.from, p.to)), 1e-12);
    EXPECT_DOUBLE_EQ(p.covariance(0, 0), 0.08 * 0.08);
    EXPECT_DOUBLE_EQ(p.covariance(2, 2), 0.02 * 0.02);
    ++of_pair[3 * chain.parts[p.from] + chain.parts[p.to]];
  }
  // Ten metres of way, a node each 1.2 to 1.5 m.
  for (const int pair : {1, 2, 5}) EXPECT_GE(of_pair[static_cast<std::size_t>(pair)], 6);
}

TEST(PartMeetings, PartsThatAreExpectedElsewhereDoNotMeet) {
  const ThreeParts three;
  const Chain chain = chain_of(three.drive.tracked, kNoise, three.parts);
  std::vector<Pose2> expected = three.drive.truth;
  for (std::size_t i = 2 * three.drive.tour; i < expected.size(); ++i) expected[i].x_m += 20.0;
  for (const Proposal& p : propose_part_meetings(expected, chain, ForbiddenPairs({}, chain))) {
    EXPECT_LT(p.to, 2 * three.drive.tour);
  }
}

TEST(PartMeetings, AForbiddenMeetingIsLeftOut) {
  const ThreeParts three;
  const Chain chain = chain_of(three.drive.tracked, kNoise, three.parts);
  const std::vector<Proposal> free = propose_part_meetings(three.drive.truth, chain, ForbiddenPairs({}, chain));
  ASSERT_FALSE(free.empty());
  const Hint apart{chain.keyframes[free[0].from].time_s, chain.keyframes[free[0].to].time_s, false};
  const std::vector<Proposal> left = propose_part_meetings(three.drive.truth, chain, ForbiddenPairs({apart}, chain));
  EXPECT_LT(left.size(), free.size());
  for (const Proposal& p : left) EXPECT_FALSE(p.from == free[0].from && p.to == free[0].to);
}

TEST(PartMeetings, ARecordingOfOneDriveHasNone) {
  const LoopedDrive drive(2);
  const Chain chain = chain_of(drive.tracked, kNoise);
  EXPECT_TRUE(propose_part_meetings(drive.truth, chain, ForbiddenPairs({}, chain)).empty());
}

}  // namespace
}  // namespace wainscot
