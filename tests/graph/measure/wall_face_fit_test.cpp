#include "graph/measure/wall_face_fit.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/graph/tape_room.hpp"

namespace wainscot {
namespace {

FittedFaces fitted(const PlacedReturns& returns, const FacePlace& place) {
  const NodeCovariance poses(returns.graph);
  const auto found = fit_faces(returns, poses, {place});
  EXPECT_TRUE(found);
  return found.value_or(FittedFaces());
}

TEST(WallFaceFitTest, FindsTheLineFromAPlaceThatIsOff) {
  TapeRoom room;
  const PlacedReturns returns{room.map().graph, room.returns(), 0.0};
  const FittedFaces face = fitted(returns, {{0.02, 1.5}, {std::cos(0.03), std::sin(0.03)}});
  EXPECT_NEAR(face.faces[0].foot_m.x(), 0.0, 1e-4);
  EXPECT_NEAR(face.faces[0].normal.x(), 1.0, 1e-6);
  EXPECT_NEAR(face.faces[0].normal.y(), 0.0, 1e-3);
  EXPECT_GT(face.returns[0], 100);
}

TEST(WallFaceFitTest, NothingNearIsNothing) {
  TapeRoom room;
  const PlacedReturns returns{room.map().graph, room.returns(), 0.0};
  const NodeCovariance poses(returns.graph);
  EXPECT_FALSE(fit_faces(returns, poses, {{{2.0, 1.5}, {1.0, 0.0}}}));
  EXPECT_FALSE(fit_faces(returns, poses, {{{0.0, 1.5}, {-1.0, 0.0}}}));  // its back was not seen
}

TEST(WallFaceFitTest, ASurfacesRangeBiasIsSeenAtObliqueBeams) {
  TapeRoom room(3, {0.0, 0.01, 0.0});
  const PlacedReturns returns{room.map().graph, room.returns(), 0.0};
  double mean = 0.0;
  int count = 0;
  for (const auto& node : returns.of_node) {
    for (const PlacedReturn& r : node) {
      if (r.normal.x() < 0.99 || std::abs(r.at_m.y() - 1.5) > 0.25 || r.at_m.x() > 1.0) continue;
      mean += r.at_m.x();
      ++count;
    }
  }
  mean /= count;
  ASSERT_GT(std::abs(mean), 0.001);
  const FittedFaces face = fitted(returns, {{0.0, 1.5}, {1.0, 0.0}});
  EXPECT_LT(std::abs(face.faces[0].foot_m.x()), 0.5 * std::abs(mean));
}

TEST(WallFaceFitTest, AThingBeforeTheWallDoesNotPullTheLine) {
  TapeRoom room(5, {0.003, 0.0, 0.0});
  std::vector<std::vector<PlacedReturn>> returns = room.returns();
  for (auto& node : returns) {
    for (std::size_t i = 0; i < node.size(); ++i) {
      if (node[i].normal.x() > 0.99 && i % 5 == 0) node[i].at_m.x() += 0.04;
    }
  }
  const FittedFaces face = fitted({room.map().graph, returns, 0.0}, {{0.0, 1.5}, {1.0, 0.0}});
  EXPECT_NEAR(face.faces[0].foot_m.x(), 0.0, 0.002);
}

// However many returns: what the poses and the surface leave open stays.
TEST(WallFaceFitTest, MoreReturnsOfTheSameNodesDoNotMakeItSurer) {
  TapeRoom room(7, {0.001, 0.0, 0.004});
  const PlacedReturns once{room.map().graph, room.returns(), 0.0};
  PlacedReturns ten = once;
  for (auto& node : ten.of_node) {
    const std::vector<PlacedReturn> all = node;
    for (int i = 1; i < 10; ++i) node.insert(node.end(), all.begin(), all.end());
  }
  const FacePlace place{{0.0, 1.5}, {1.0, 0.0}};
  const double sd_once = std::sqrt(fitted(once, place).covariance(0, 0));
  const double sd_ten = std::sqrt(fitted(ten, place).covariance(0, 0));
  EXPECT_GT(sd_ten, 0.5 * sd_once);  // were all returns independent: 0.32
  EXPECT_GT(sd_ten, WallFaceFitOptions().scan_sd_m);
}

}  // namespace
}  // namespace wainscot
