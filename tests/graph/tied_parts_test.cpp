#include "graph/tied_parts.hpp"

#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"

namespace wainscot {
namespace {

struct Tie {
  std::size_t from;
  std::size_t to;
  Verdict verdict;
  double overlap;
};

/// Two nodes for each of three drives.
std::string not_joined(const std::vector<Tie>& ties) {
  const std::vector<DrivePart> parts = {
      {"monday", 0, 0.0, 0.0, true}, {"tuesday", 10, 0.0, 0.0, false}, {"friday", 20, 0.0, 0.0, false}};
  std::vector<Node> nodes(6);
  for (std::size_t i = 0; i < nodes.size(); ++i) nodes[i].scan = 5 * i;
  std::vector<LoopCandidate> candidates;
  for (const Tie& tie : ties) {
    LoopCandidate candidate;
    candidate.from = tie.from;
    candidate.to = tie.to;
    candidate.verdict = tie.verdict;
    candidate.overlap = tie.overlap;
    candidate.reason = "too few walls coincide";
    candidates.push_back(candidate);
  }
  try {
    require_joined(parts, nodes, candidates);
  } catch (const PoorData& refused) {
    return refused.what();
  }
  return "";
}

TEST(TiedParts, EachDriveMustBeTiedToTheFirstIfByAnother) {
  EXPECT_EQ(not_joined({{0, 3, Verdict::accepted, 0.9}, {2, 5, Verdict::accepted, 0.9}}), "");
  EXPECT_EQ(not_joined({{3, 4, Verdict::accepted, 0.9}, {1, 5, Verdict::accepted, 0.9}}), "");
  const std::string tuesday = not_joined({{0, 1, Verdict::accepted, 0.9},
                                          {0, 3, Verdict::rejected, 0.42},
                                          {1, 2, Verdict::rejected, 0.61},
                                          {1, 5, Verdict::accepted, 0.9}});
  EXPECT_EQ(tuesday.rfind("tuesday does not join the map: 2 pairs of places were tried", 0), 0U) << tuesday;
  EXPECT_NE(tuesday.find("61 %"), std::string::npos) << tuesday;
  const std::string friday = not_joined({{0, 3, Verdict::accepted, 0.9}});
  EXPECT_EQ(friday.rfind("friday does not join the map: no place", 0), 0U) << friday;
}

TEST(TiedParts, OneDriveNeedsNoTies) { EXPECT_NO_THROW(require_joined({}, std::vector<Node>(3), {})); }

}  // namespace
}  // namespace wainscot
