#include "graph/close/revisits.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "graph/close/bent_graph.hpp"
#include "tests/graph/close/looped_drive.hpp"

namespace wainscot {
namespace {

std::vector<Proposal> proposals_of(const LoopedDrive& drive, const std::vector<Hint>& hints = {},
                                   const RevisitOptions& options = {}) {
  const Chain chain = chain_of(drive.tracked, kNoise);
  PlaceSignatures signatures(chain.seen());
  return propose_revisits(graph_of(drive.tracked), chain, ForbiddenPairs(hints, chain), signatures, options);
}

/// Pairs within one round of 10.2 m are left out: by default its end is proposed to see its beginning again, which the
/// drift of a single round keeps near.
RevisitOptions between_rounds() {
  RevisitOptions options;
  options.min_way_m = 10.5;
  return options;
}

TEST(Revisits, WithSmallDriftTheNearestNodeOfEachEarlierVisitIsProposed) {
  const LoopedDrive drive(3);
  RevisitOptions options;
  options.max_distance_m = 1.0;  // by default some nodes reach the whole room, and all their rounds are one visit
  const std::vector<Proposal> proposals = proposals_of(drive, {}, options);
  const std::vector<double> ways = ways_of(drive.truth);
  std::vector<int> visits(drive.truth.size());
  std::vector<std::size_t> rounds(drive.truth.size());
  for (const Proposal& p : proposals) {
    EXPECT_FALSE(p.anywhere);
    EXPECT_GT(ways[p.to] - ways[p.from], options.min_way_m);
    for (const std::size_t beside : {p.from + 1, p.from == 0 ? 0 : p.from - 1}) {
      if (ways[p.to] - ways[beside] <= options.min_way_m) continue;
      EXPECT_LE(apart_m(drive.truth[p.from], drive.truth[p.to]), apart_m(drive.truth[beside], drive.truth[p.to]));
    }
    if ((p.to - p.from) % drive.tour == 0) ++rounds[p.to];
    EXPECT_GT(p.covariance(0, 0), 0.0);
    ++visits[p.to];
  }
  // A later node each 1.2 m (its steps of 0.3 m make that 1.5 m now and then) has one earlier visit in the second
  // round and two in the third.
  EXPECT_EQ(*std::max_element(visits.begin(), visits.end()), 2);
  EXPECT_GE(proposals.size(), 3U * 6U);
  // The same node of each round before; the end of the first round meets its beginning besides.
  for (std::size_t to = 0; to < visits.size(); ++to) {
    if (visits[to] == 0) continue;
    EXPECT_EQ(rounds[to], to / drive.tour) << to;
  }
}

TEST(Revisits, OnlyTheNearestVisitsAreProposed) {
  RevisitOptions options;
  options.near_most = 1;
  std::vector<int> visits(3 * 38);
  for (const Proposal& p : proposals_of(LoopedDrive(3), {}, options)) ++visits.at(p.to);
  EXPECT_EQ(*std::max_element(visits.begin(), visits.end()), 1);
}

TEST(Revisits, WhereTheDriftSpansRoomsPlacesThatLookAlikeAreProposed) {
  LoopedDrive drive(2);
  drive.lift(drive.tour, {11.0, -6.0, 2.1});
  const std::vector<Proposal> proposals = proposals_of(drive, {}, between_rounds());
  ASSERT_FALSE(proposals.empty());
  std::vector<std::vector<std::size_t>> chosen(drive.truth.size());
  const std::vector<double> ways = ways_of(drive.truth);
  for (const Proposal& p : proposals) {
    EXPECT_TRUE(p.anywhere);
    EXPECT_LT(p.from, drive.tour);
    EXPECT_GE(p.to, drive.tour);
    EXPECT_GT(position_sd_m(p.covariance), 50.0);
    for (const std::size_t other : chosen[p.to]) EXPECT_GE(std::abs(ways[other] - ways[p.from]), 1.8);
    chosen[p.to].push_back(p.from);
    EXPECT_LE(chosen[p.to].size(), RevisitOptions{}.far_most);
  }
  RevisitOptions strict = between_rounds();
  strict.least_likeness = 1.01;
  EXPECT_TRUE(proposals_of(drive, {}, strict).empty());
}

TEST(Revisits, FarPlacesOfAnotherPartAreLeftToTheirMaps) {
  LoopedDrive drive(2);
  drive.lift(drive.tour, {11.0, -6.0, 2.1});
  std::vector<DrivePart> parts(2);
  parts[1].first_scan = drive.tour;
  const Chain chain = chain_of(drive.tracked, kNoise, parts);
  PlaceSignatures signatures(chain.seen());
  const ForbiddenPairs none({}, chain);
  EXPECT_TRUE(propose_revisits(graph_of(drive.tracked), chain, none, signatures, between_rounds()).empty());
}

TEST(Revisits, WhatTheDriverForbidsIsNotProposed) {
  const LoopedDrive drive(2);
  const std::vector<Proposal> free = proposals_of(drive);
  ASSERT_FALSE(free.empty());
  const Proposal& some = free[free.size() / 2];
  const double from_s = drive.tracked.keyframes[some.from].time_s;
  const double to_s = drive.tracked.keyframes[some.to].time_s;
  const std::vector<Proposal> left = proposals_of(drive, {{from_s, to_s, false}});
  EXPECT_LT(left.size(), free.size());
  for (const Proposal& p : left) EXPECT_FALSE(p.from == some.from && p.to == some.to);
}

TEST(Revisits, NearIsWhatADriftOfHalfAMetreAllows) {
  EXPECT_TRUE(is_near(covariance_of(0.5, 0.2)));
  EXPECT_FALSE(is_near(covariance_of(0.51, 0.1)));
  EXPECT_FALSE(is_near(covariance_of(0.1, 0.21)));
}

}  // namespace
}  // namespace wainscot
