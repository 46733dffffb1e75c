#include "graph/close/loop_closure.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "graph/close/bent_graph.hpp"
#include "tests/graph/close/looped_drive.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

/// A ring corridor, 6 m x 5 m around a block with two recesses, so that no two places look alike.
Scene ring_corridor() {
  Scene scene =
      closed_walls({{0.0, 0.0}, {6.0, 0.0}, {6.0, 5.0}, {3.6, 5.0}, {3.6, 5.4}, {3.0, 5.4}, {3.0, 5.0}, {0.0, 5.0}});
  for (const Segment& wall :
       closed_walls({{1.4, 1.4}, {1.4, 2.0}, {1.7, 2.0}, {1.7, 3.6}, {4.6, 3.6}, {4.6, 1.9}, {4.2, 1.9}, {4.2, 1.4}})) {
    scene.push_back(wall);
  }
  return scene;
}

/// Poses 0.3 m apart along straight legs, turns on the spot in steps of 30 degrees.
std::vector<Pose2> route(const std::vector<Eigen::Vector2d>& corners) {
  std::vector<Pose2> poses;
  for (std::size_t i = 0; i + 1 < corners.size(); ++i) {
    const Eigen::Vector2d leg = corners[i + 1] - corners[i];
    const double heading = std::atan2(leg.y(), leg.x());
    if (!poses.empty()) {
      const double turn = wrap_angle(heading - poses.back().heading_rad);
      const int steps = static_cast<int>(std::ceil(std::abs(turn) / 0.53));
      for (int s = 0; s < steps; ++s) poses.push_back(poses.back() * Pose2{0.0, 0.0, turn / steps});
    } else {
      poses.push_back({corners[0].x(), corners[0].y(), heading});
    }
    const int steps = static_cast<int>(std::ceil(leg.norm() / 0.3));
    for (int s = 0; s < steps; ++s) poses.push_back(poses.back() * Pose2{leg.norm() / steps, 0.0, 0.0});
  }
  return poses;
}

std::vector<Pose2> around(double rounds) {
  std::vector<Eigen::Vector2d> corners;
  for (int i = 0; i <= static_cast<int>(4.0 * rounds); ++i) {
    corners.push_back(
        std::vector<Eigen::Vector2d>{{0.7, 0.7}, {5.3, 0.7}, {5.3, 4.3}, {0.7, 4.3}}[static_cast<std::size_t>(i) % 4]);
  }
  return route(corners);
}

/// What tracking would give with a drift of `per_step` at each step (and an edge information that allows it).
TrackedPath drifted(const Scene& scene, const std::vector<Pose2>& truth, const Tangent2& per_step, double sd_m,
                    double sd_rad) {
  TrackedPath tracked;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    tracked.keyframes.push_back(keyframe_at(scene, truth[i], i));
    if (i == 0) {
      tracked.poses.push_back(truth[0]);
      continue;
    }
    const Pose2 relative = between(truth[i - 1], truth[i]) * exp(per_step);
    tracked.poses.push_back(tracked.poses.back() * relative);
    tracked.edges.push_back({EdgeKind::match, i - 1, i, relative, information_of(sd_m, sd_rad)});
  }
  return tracked;
}

double worst_m(const PoseGraph& graph, const std::vector<Pose2>& truth) {
  double worst = 0.0;
  for (std::size_t i = 0; i < truth.size(); ++i) worst = std::max(worst, apart_m(graph.nodes[i].pose, truth[i]));
  return worst;
}

TEST(LoopClosure, RingDrivenTwiceIsHeldTogether) {
  const std::vector<Pose2> truth = around(1.75);
  const TrackedPath tracked = drifted(ring_corridor(), truth, {0.002, 0.001, 0.0025}, 0.006, 0.006);
  const double drift = apart_m(tracked.poses.back(), truth.back());
  ASSERT_GT(drift, 0.3);
  const ClosedGraph closed = close_loops(tracked, kNoise, {}, 1, {});
  int accepted = 0;
  for (const LoopCandidate& candidate : closed.candidates) {
    EXPECT_LT(candidate.from, candidate.to);
    EXPECT_FALSE(candidate.reason.empty());
    if (candidate.verdict == Verdict::rejected) continue;
    ++accepted;
    const Pose2 relative = between(truth[candidate.from], truth[candidate.to]);
    EXPECT_LT(apart_m(candidate.found, relative), 0.03) << candidate.from << " and " << candidate.to;
    EXPECT_LT(apart_rad(candidate.found, relative), 0.01) << candidate.from << " and " << candidate.to;
  }
  EXPECT_GE(accepted, 8);  // about one a metre of the second round
  EXPECT_EQ(closed.graph.edges.size(), tracked.edges.size() + static_cast<std::size_t>(accepted));
  EXPECT_LT(worst_m(closed.graph, truth), 0.3 * drift);
  EXPECT_LT(apart_m(closed.graph.nodes.back().pose, truth.back()), 0.15 * drift);
  EXPECT_GT(closed.cost_before, 10.0 * closed.cost_after);
}

TEST(LoopClosure, ClosureEdgesCarryTheMatch) {
  const TrackedPath tracked = drifted(ring_corridor(), around(1.5), {0.001, 0.0, 0.001}, 0.005, 0.004);
  const ClosedGraph closed = close_loops(tracked, kNoise, {}, 1, {});
  for (std::size_t e = 0; e < closed.graph.edges.size(); ++e) {
    const Edge& edge = closed.graph.edges[e];
    EXPECT_EQ(edge.kind == EdgeKind::closure, e >= tracked.edges.size());
    if (edge.kind != EdgeKind::closure) continue;
    EXPECT_GT(edge.information(1, 1), 0.0);
    EXPECT_NEAR((edge.information - edge.information.transpose()).norm(), 0.0, 1e-9 * edge.information.norm());
  }
}

TEST(LoopClosure, SameResultAtAnyNumberOfThreads) {
  const TrackedPath tracked = drifted(ring_corridor(), around(1.5), {0.002, 0.001, 0.001}, 0.006, 0.004);
  const ClosedGraph one = close_loops(tracked, kNoise, {}, 1, {});
  const ClosedGraph three = close_loops(tracked, kNoise, {}, 3, {});
  ASSERT_EQ(one.candidates.size(), three.candidates.size());
  for (std::size_t i = 0; i < one.candidates.size(); ++i) {
    EXPECT_EQ(one.candidates[i].found.x_m, three.candidates[i].found.x_m);
    EXPECT_EQ(one.candidates[i].verdict, three.candidates[i].verdict);
  }
  for (std::size_t i = 0; i < one.graph.nodes.size(); ++i) {
    EXPECT_EQ(one.graph.nodes[i].pose.x_m, three.graph.nodes[i].pose.x_m);
    EXPECT_EQ(one.graph.nodes[i].pose.heading_rad, three.graph.nodes[i].pose.heading_rad);
  }
}

TEST(LoopClosure, NothingIsClosedWhereNoPlaceIsSeenAgain) {
  const Scene hall = closed_walls({{0.0, 0.0}, {30.0, 0.0}, {30.0, 2.0}, {0.0, 2.0}});
  const std::vector<Pose2> truth = route({{1.0, 1.0}, {21.0, 1.0}});
  const ClosedGraph closed = close_loops(drifted(hall, truth, {0.001, 0.0, 0.0}, 0.005, 0.002), kNoise, {}, 1, {});
  for (const LoopCandidate& candidate : closed.candidates) EXPECT_EQ(candidate.verdict, Verdict::rejected);
  EXPECT_EQ(closed.graph.edges.size(), truth.size() - 1);
}

TEST(LoopClosure, NoRoundsLeaveTheChain) {
  const TrackedPath tracked = drifted(ring_corridor(), around(1.5), {0.002, 0.001, 0.001}, 0.006, 0.004);
  LoopClosureOptions none;
  none.most_rounds = 0;
  const ClosedGraph closed = close_loops(tracked, kNoise, none, 1, {});
  EXPECT_TRUE(closed.candidates.empty());
  ASSERT_EQ(closed.graph.nodes.size(), tracked.poses.size());
  for (std::size_t i = 0; i < tracked.poses.size(); ++i) {
    EXPECT_EQ(closed.graph.nodes[i].pose.x_m, tracked.poses[i].x_m);
    EXPECT_EQ(closed.graph.nodes[i].scan, tracked.keyframes[i].scan);
  }
}

/// The ring twice, and between the rounds the robot was lifted: where the second begins is not known.
TrackedPath lifted_between(const std::vector<Pose2>& truth, const Scene& scene, std::size_t node) {
  TrackedPath tracked = drifted(scene, truth, {0.0005, 0.0002, 0.0005}, 0.004, 0.003);
  const Pose2 elsewhere = Pose2{11.0, -6.0, 2.1} * inverse(tracked.poses[node]);
  for (std::size_t i = node; i < truth.size(); ++i) tracked.poses[i] = elsewhere * tracked.poses[i];
  Edge& edge = tracked.edges[node - 1];
  edge.kind = EdgeKind::odometry;
  edge.relative = between(tracked.poses[node - 1], tracked.poses[node]);
  edge.information = information_of(100.0, 3.0);
  tracked.breaks = tracked.jumps = {node};
  return tracked;
}

// Neither a hint nor an event makes a round of its own.
TEST(LoopClosure, NoRoundsLeaveTheChainWhateverTheDriverKnows) {
  TrackedPath tracked = drifted(ring_corridor(), around(1.5), {0.002, 0.001, 0.001}, 0.006, 0.004);
  tracked.jumps = {tracked.poses.size() / 2};
  LoopClosureOptions none;
  none.most_rounds = 0;
  none.hints = {{tracked.keyframes[2].time_s, tracked.keyframes.back().time_s, true}};
  const ClosedGraph closed = close_loops(tracked, kNoise, none, 1, {});
  EXPECT_TRUE(closed.candidates.empty());
  EXPECT_TRUE(closed.warnings.empty());
  ASSERT_EQ(closed.graph.nodes.size(), tracked.poses.size());
  for (std::size_t i = 0; i < tracked.poses.size(); ++i) {
    EXPECT_EQ(closed.graph.nodes[i].pose.x_m, tracked.poses[i].x_m);
  }
}

// The match over an event is off by half a metre and 17 degrees, and says that it is right to centimetres.
TEST(LoopClosure, AnEventWhoseMatchWasWrongIsTakenBack) {
  const std::vector<Pose2> truth = around(2.5);
  const std::size_t node = truth.size() / 5;
  const auto with_event = [&](const Pose2& error) {
    TrackedPath tracked = drifted(ring_corridor(), truth, {0.0005, 0.0002, 0.0005}, 0.004, 0.003);
    const Pose2 wrong = tracked.poses[node] * error * inverse(tracked.poses[node]);
    for (std::size_t i = node; i < truth.size(); ++i) tracked.poses[i] = wrong * tracked.poses[i];
    tracked.edges[node - 1].relative = between(tracked.poses[node - 1], tracked.poses[node]);
    tracked.edges[node - 1].information = information_of(0.05, 0.02);
    tracked.jumps = {node};
    return tracked;
  };
  const TrackedPath tracked = with_event({0.4, -0.3, 0.3});
  ASSERT_GT(worst_m({graph_of(tracked).nodes, {}}, truth), 1.0);
  const ClosedGraph closed = close_loops(tracked, kNoise, {}, 1, {});
  EXPECT_LT(worst_m(closed.graph, truth), 0.15);
  // One that was right stays as sure as it was.
  const ClosedGraph right = close_loops(with_event({}), kNoise, {}, 1, {});
  EXPECT_LT(worst_m(right.graph, truth), 0.15);
  EXPECT_DOUBLE_EQ(right.graph.edges[node - 1].information(0, 0), 400.0);
}

// A ring that looks nearly the same from opposite corners: when in doubt, no.
TEST(LoopClosure, LiftedRobotIsNotJoinedWhereTwoPlacesFitAboutAsWell) {
  const std::vector<Pose2> truth = around(1.75);
  const std::size_t node = 3 * truth.size() / 5;
  const ClosedGraph closed = close_loops(lifted_between(truth, ring_corridor(), node), kNoise, {}, 1, {});
  bool told = false;
  for (const LoopCandidate& candidate : closed.candidates) {
    if (candidate.from >= node || candidate.to < node) continue;
    EXPECT_EQ(candidate.verdict, Verdict::rejected);
    told = told || candidate.reason.find("another place fits about as well") != std::string::npos;
  }
  EXPECT_TRUE(told);
}

// Put down in a second room that is the same to the millimetre: one room alike is not enough.
TEST(LoopClosure, LiftedIntoALookAlikeRoomIsNotJoined) {
  const std::vector<Pose2> tour =
      route({{-1.2, -1.0}, {1.2, -1.0}, {0.8, 0.0}, {-1.0, 0.6}, {-1.2, -1.0}, {1.2, -1.0}, {0.8, 0.0}, {-1.0, 0.6}});
  const Pose2 next_door{6.0, 0.0, 0.0};
  std::vector<Pose2> truth = tour;
  for (const Pose2& pose : tour) truth.push_back(next_door * pose);
  Scene rooms = crooked_room();
  for (const Segment& wall : moved(crooked_room(), next_door)) rooms.push_back(wall);
  const TrackedPath tracked = lifted_between(truth, rooms, tour.size());
  const ClosedGraph closed = close_loops(tracked, kNoise, {}, 1, {});
  bool tried = false;
  for (const LoopCandidate& candidate : closed.candidates) {
    if (candidate.from >= tour.size() || candidate.to < tour.size()) continue;
    tried = true;
    EXPECT_EQ(candidate.verdict, Verdict::rejected) << candidate.from << " and " << candidate.to;
  }
  EXPECT_TRUE(tried);
}

TEST(LoopClosure, HintJoinsWhatGeometryAloneMustNot) {
  const std::vector<Pose2> tour = route({{-1.2, -1.0}, {1.2, -1.0}, {0.8, 0.0}, {-1.0, 0.6}, {-1.2, -1.0}});
  std::vector<Pose2> truth = tour;
  truth.insert(truth.end(), tour.begin(), tour.end());
  const TrackedPath tracked = lifted_between(truth, crooked_room(), tour.size());
  const double first_s = tracked.keyframes[4].time_s;
  const double second_s = tracked.keyframes[tour.size() + 4].time_s;
  LoopClosureOptions options;
  options.hints = {{first_s, second_s, true}};
  const ClosedGraph with = close_loops(tracked, kNoise, options, 1, {});
  EXPECT_LT(apart_m(with.graph.nodes.back().pose, truth.back()), 0.05);
  EXPECT_TRUE(with.warnings.empty());
  const ClosedGraph without = close_loops(tracked, kNoise, {}, 1, {});
  EXPECT_GT(apart_m(without.graph.nodes.back().pose, truth.back()), 1.0);
}

/// A tour of a room, a lift, and the same tour again; a marker is seen from the fifth node of both.
struct MarkedTours {
  std::vector<Pose2> tour = route({{-1.2, -1.0}, {1.2, -1.0}, {0.8, 0.0}, {-1.0, 0.6}, {-1.2, -1.0}});
  std::vector<Pose2> truth = tour;
  LoopClosureOptions options;

  MarkedTours(const Pose2& first, const Pose2& again) {
    truth.insert(truth.end(), tour.begin(), tour.end());
    options.markers = {"7"};
    see(4, first);
    see(tour.size() + 4, again);
  }
  void see(std::size_t node, const Pose2& marker) {
    NodeSighting s;
    s.node = node;
    s.at_m = inverse(truth[node]) * marker.translation();
    s.heading_rad = wrap_angle(marker.heading_rad - truth[node].heading_rad);
    s.sd_m = 0.02;
    s.sd_rad = 0.03;
    options.sightings.push_back(s);
  }
  ClosedGraph closed() const {
    return close_loops(lifted_between(truth, crooked_room(), tour.size()), kNoise, options, 1, {});
  }
};

const LoopCandidate* told_by_marker(const ClosedGraph& closed) {
  for (const LoopCandidate& c : closed.candidates) {
    if (c.reason.find("marker 7 was seen at both times") != std::string::npos) return &c;
  }
  return nullptr;
}

TEST(LoopClosure, MarkerJoinsWhatGeometryAloneMustNot) {
  const MarkedTours tours({0.3, -0.2, 0.4}, {0.3, -0.2, 0.4});
  const ClosedGraph closed = tours.closed();
  const LoopCandidate* candidate = told_by_marker(closed);
  ASSERT_NE(candidate, nullptr);
  EXPECT_EQ(candidate->verdict, Verdict::accepted);
  EXPECT_LT(apart_m(closed.graph.nodes.back().pose, tours.truth.back()), 0.05);
}

TEST(LoopClosure, MarkerThatTheWallsContradictIsNotBelieved) {
  const MarkedTours tours({0.3, -0.2, 0.4}, {-0.6, 0.5, 1.4});  // another marker, misread
  const ClosedGraph closed = tours.closed();
  const LoopCandidate* candidate = told_by_marker(closed);
  ASSERT_NE(candidate, nullptr);
  EXPECT_EQ(candidate->verdict, Verdict::rejected);
}

TEST(LoopClosure, HintThatTheWallsContradictIsReported) {
  const std::vector<Pose2> truth = around(1.5);
  const TrackedPath tracked = drifted(ring_corridor(), truth, {0.001, 0.0, 0.001}, 0.006, 0.004);
  LoopClosureOptions options;
  options.hints = {{2.0, tracked.keyframes[truth.size() / 3].time_s, true}};  // another side of the ring
  const ClosedGraph closed = close_loops(tracked, kNoise, options, 1, {});
  ASSERT_EQ(closed.warnings.size(), 1U);
  EXPECT_NE(closed.warnings[0].find("hints.csv"), std::string::npos);
  EXPECT_EQ(closed.candidates.front().verdict, Verdict::rejected);
  EXPECT_NE(closed.candidates.front().reason.find("a hint says"), std::string::npos);
  EXPECT_LT(worst_m(closed.graph, truth), 0.3);
}

TEST(LoopClosure, HintForbidsClosures) {
  const std::vector<Pose2> truth = around(1.75);
  const TrackedPath tracked = drifted(ring_corridor(), truth, {0.001, 0.0, 0.001}, 0.006, 0.004);
  const ClosedGraph free = close_loops(tracked, kNoise, {}, 1, {});
  const auto accepted_near = [&](const ClosedGraph& closed, std::size_t from, std::size_t to) {
    int count = 0;
    for (const LoopCandidate& c : closed.candidates) {
      if (c.verdict == Verdict::accepted && apart_m(truth[c.from], truth[from]) < 1.0 &&
          apart_m(truth[c.to], truth[to]) < 1.0) {
        ++count;
      }
    }
    return count;
  };
  const auto some = std::find_if(free.candidates.begin(), free.candidates.end(),
                                 [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; });
  ASSERT_NE(some, free.candidates.end());
  ASSERT_GT(accepted_near(free, some->from, some->to), 0);
  LoopClosureOptions options;
  options.hints = {{tracked.keyframes[some->from].time_s, tracked.keyframes[some->to].time_s, false}};
  EXPECT_EQ(accepted_near(close_loops(tracked, kNoise, options, 1, {}), some->from, some->to), 0);
}

}  // namespace
}  // namespace wainscot
