#include "graph/adjust/chosen_nodes.hpp"

#include <algorithm>
#include <cstdlib>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// A robot that went to and fro on a stretch of 5 m for hours.
std::vector<Pose2> to_and_fro() {
  std::vector<Pose2> poses;
  for (int i = 0; i < 4000; ++i) poses.push_back({0.1 * std::abs(i % 100 - 50), 0.0, 0.0});
  return poses;
}

MarkerEvidence seen_at(const std::vector<std::size_t>& nodes) {
  MarkerEvidence evidence;
  evidence.names = {"a"};
  for (const std::size_t node : nodes) {
    NodeSighting s;
    s.sighting = evidence.sightings.size();
    s.node = node;
    evidence.sightings.push_back(s);
  }
  return evidence;
}

TEST(ChosenNodes, SomeOfEachMarkersSightingsAreAmongThem) {
  const std::vector<Pose2> poses = to_and_fro();
  const std::vector<std::size_t> plain = chosen_nodes(poses, {});
  EXPECT_LT(plain.size(), 1000u);
  EXPECT_EQ(plain.front(), 0u);
  EXPECT_EQ(plain.back(), poses.size() - 1);
  std::vector<std::size_t> late;
  for (std::size_t node = 3000; node < 3200; ++node) late.push_back(node);
  const std::vector<std::size_t> chosen = chosen_nodes(poses, seen_at(late));
  EXPECT_TRUE(std::is_sorted(chosen.begin(), chosen.end()));
  EXPECT_EQ(std::adjacent_find(chosen.begin(), chosen.end()), chosen.end());
  EXPECT_TRUE(std::binary_search(chosen.begin(), chosen.end(), 3000u));
  EXPECT_GT(chosen.size(), plain.size() + 10);
  EXPECT_LT(chosen.size(), plain.size() + 30);
}

TEST(ChosenNodes, SightingsAreNumberedAmongTheChosen) {
  const MarkerEvidence evidence = at_chosen(seen_at({2, 5, 9, 12}), {0, 5, 7, 12});
  ASSERT_EQ(evidence.sightings.size(), 2u);
  EXPECT_EQ(evidence.sightings[0].node, 1u);
  EXPECT_EQ(evidence.sightings[0].sighting, 1u);
  EXPECT_EQ(evidence.sightings[1].node, 3u);
}

TEST(ChosenNodes, SomeOfEachLinesNodesAreAmongThem) {
  const std::vector<Pose2> poses = to_and_fro();
  LineEvidence lines;
  lines.names = {"hall"};
  StretchNodes stretch;
  for (std::size_t node = 3000; node < 3200; ++node) stretch.nodes.push_back(node);
  lines.stretches = {stretch};
  const std::vector<std::size_t> plain = chosen_nodes(poses, {});
  const std::vector<std::size_t> chosen = chosen_nodes(poses, {}, lines);
  EXPECT_GT(chosen.size(), plain.size() + 20);
  EXPECT_LT(chosen.size(), plain.size() + 50);
  const LineEvidence evidence = at_chosen(lines, chosen);
  ASSERT_EQ(evidence.stretches.size(), 1u);
  EXPECT_GT(evidence.stretches[0].nodes.size(), 20u);
  for (const std::size_t node : evidence.stretches[0].nodes) EXPECT_GE(chosen.at(node), 3000u);
  EXPECT_TRUE(at_chosen(lines, {0, 3001}).stretches.empty());  // one node alone is on any line
}

}  // namespace
}  // namespace wainscot
