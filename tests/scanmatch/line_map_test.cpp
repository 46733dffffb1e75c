#include "scanmatch/line_map.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <Eigen/Dense>

#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

const Eigen::Vector2d kUp(0.0, 1.0);

/// A straight wall piece along x at height y, seen from above.
void add_wall(LineMap& map, double from_x_m, double to_x_m, double y_m, int node) {
  for (double x = from_x_m; x <= to_x_m + 1e-9; x += 0.02) map.add({x, y_m}, kUp, 1e4, node, 0);
  map.fit();
}

TEST(Line, DistanceAndNormalAreThoseOfTheFittedLine) {
  // Through (1, 2.1) with slope 0.2 against a wall that is seen from the left: tangent (0, 1) turned by -90 degrees.
  Line line;
  line.anchor = {1.0, 2.0};
  line.normal = {-0.6, 0.8};
  line.set_fit(0.1, 0.2);
  const Eigen::Vector2d tangent(0.8, 0.6);
  const Eigen::Vector2d on_line = line.anchor + 0.5 * tangent + (0.1 + 0.2 * 0.5) * line.normal;
  EXPECT_NEAR(line.along_of(on_line), 0.5, 1e-12);
  EXPECT_NEAR(line.across_of(on_line), 0.2, 1e-12);
  EXPECT_NEAR(line.distance_of(on_line), 0.0, 1e-12);
  EXPECT_NEAR(line.fitted_normal.norm(), 1.0, 1e-12);
  EXPECT_NEAR(line.distance_of(on_line + 0.3 * line.fitted_normal), 0.3, 1e-12);
  EXPECT_NEAR(line.fitted_normal.dot(tangent + 0.2 * line.normal), 0.0, 1e-12);
}

// Offset and slope against a dense weighted least-squares solution with the documented priors (5 cm, 0.14 rad).
TEST(LineMap, FitIsWeightedLeastSquares) {
  std::mt19937 random(5);
  std::normal_distribution<double> gauss(0.0, 0.01);
  std::uniform_real_distribution<double> weights(1e3, 1e4);
  LineMap map;
  Eigen::Matrix<double, 22, 2> equations;
  Eigen::Matrix<double, 22, 1> right = Eigen::Matrix<double, 22, 1>::Zero();
  const Eigen::Vector2d anchor(-3.0, 7.0);
  const Eigen::Vector2d normal(0.6, 0.8);
  const Eigen::Vector2d tangent(0.8, -0.6);
  for (int i = 0; i < 20; ++i) {
    const double along = i == 0 ? 0.0 : 0.016 * (i - 10);
    const double across = i == 0 ? 0.0 : 0.01 + 0.05 * along + gauss(random);
    const double weight = weights(random);
    map.add(anchor + along * tangent + across * normal, normal, weight, 1, 0);
    equations.row(i) = std::sqrt(weight) * Eigen::RowVector2d(1.0, along);
    right(i) = std::sqrt(weight) * across;
  }
  equations.row(20) << 1.0 / 0.05, 0.0;
  equations.row(21) << 0.0, 1.0 / 0.14;
  map.fit();
  ASSERT_EQ(map.lines().size(), 1U);
  const Eigen::Vector2d expected = equations.colPivHouseholderQr().solve(right);
  EXPECT_NEAR(map.lines()[0].offset_m, expected(0), 1e-9);
  EXPECT_NEAR(map.lines()[0].slope, expected(1), 1e-9);
  EXPECT_EQ(map.lines()[0].returns, 20);
}

TEST(LineMap, PiecesAreLongWhereReturnsAreSparse) {
  LineMap map;
  for (int i = 0; i <= 20; ++i) map.add({0.5 * i, 1.0}, kUp, 1e4, 1, 0, {0.5, 0.01});
  map.fit();
  EXPECT_LE(map.lines().size(), 12U);
  for (double x = 0.1; x < 10.0; x += 0.1) {
    const std::int32_t found = map.find({x, 1.05}, kUp, 0.1, 0);
    ASSERT_NE(found, LineMap::kNone) << x;
    EXPECT_NEAR(map.lines()[static_cast<std::size_t>(found)].half_length_m, 1.0, 1e-12);
  }
  // Seen from near by, the same wall gets pieces of its own.
  add_wall(map, 3.0, 4.0, 1.02, 2);
  EXPECT_GE(map.lines().size(), 15U);
}

TEST(LineMap, ALongWallBecomesPiecesOfAboutThirtyCentimetres) {
  LineMap map;
  add_wall(map, -3.0, 3.0, 1.0, 1);
  EXPECT_GE(map.lines().size(), 6.0 / 0.34);
  EXPECT_LE(map.lines().size(), 6.0 / 0.15);
  for (const Line& line : map.lines()) {
    EXPECT_LE(line.last_along_m, 0.17);
    EXPECT_GE(line.first_along_m, -0.17);
    EXPECT_NEAR(line.distance_of({line.anchor.x() + 0.1, 1.0}), 0.0, 1e-12);
  }
}

TEST(LineMap, FacesOfAThinWallStayApart) {
  LineMap map;
  for (double x = 0.0; x < 0.15; x += 0.02) {
    map.add({x, 0.02}, kUp, 1e4, 1, 0);
    map.add({x, -0.02}, -kUp, 1e4, 1, 0);
  }
  map.fit();
  ASSERT_EQ(map.lines().size(), 2U);
  // Asked from above, the upper face answers, even where the lower one is nearer.
  const std::int32_t upper = map.find({0.1, -0.02}, kUp, 0.2);
  ASSERT_NE(upper, LineMap::kNone);
  EXPECT_NEAR(map.lines()[static_cast<std::size_t>(upper)].anchor.y(), 0.02, 1e-12);
  const std::int32_t lower = map.find({0.1, 0.02}, -kUp, 0.2);
  ASSERT_NE(lower, LineMap::kNone);
  EXPECT_NEAR(map.lines()[static_cast<std::size_t>(lower)].anchor.y(), -0.02, 1e-12);
}

TEST(LineMap, AReturnTooFarFromTheLineStartsItsOwn) {
  LineMap map;
  add_wall(map, 0.0, 0.1, 1.0, 1);
  EXPECT_EQ(map.add({0.05, 1.06}, kUp, 1e4, 1, 0), 0);
  EXPECT_EQ(map.add({0.05, 1.15}, kUp, 1e4, 1, 0), 1);
  const double thirty_five = 35.0 * std::numbers::pi / 180.0;
  EXPECT_EQ(map.add({0.05, 1.0}, {std::sin(thirty_five), std::cos(thirty_five)}, 1e4, 1, 0), 2) << "another face";
}

TEST(LineMap, FindKeepsToTheGateTheReachAndTheNormal) {
  LineMap map;
  add_wall(map, 0.0, 0.1, 1.0, 1);
  EXPECT_EQ(map.find({0.05, 1.09}, kUp, 0.1), 0);
  EXPECT_EQ(map.find({0.05, 0.91}, kUp, 0.1), 0);
  EXPECT_EQ(map.find({0.05, 1.11}, kUp, 0.1), LineMap::kNone);
  EXPECT_EQ(map.find({0.1 + 0.16, 1.0}, kUp, 0.1), 0) << "half a length beyond the last return";
  EXPECT_EQ(map.find({0.1 + 0.18, 1.0}, kUp, 0.1), LineMap::kNone);
  EXPECT_EQ(map.find({-0.16, 1.0}, kUp, 0.1), 0);
  EXPECT_EQ(map.find({-0.18, 1.0}, kUp, 0.1), LineMap::kNone);
  EXPECT_EQ(map.find({0.05, 1.0}, -kUp, 0.1), LineMap::kNone);
  EXPECT_EQ(map.find({0.05, 1.0}, {1.0, 0.0}, 0.1), LineMap::kNone);
}

TEST(LineMap, OldLinesAreNeitherFoundNorJoined) {
  LineMap map;
  add_wall(map, 0.0, 0.1, 1.0, 3);
  EXPECT_EQ(map.find({0.05, 1.0}, kUp, 0.1, 3), 0);
  EXPECT_EQ(map.find({0.05, 1.0}, kUp, 0.1, 4), LineMap::kNone);
  EXPECT_EQ(map.add({0.05, 1.0}, kUp, 1e4, 9, 4), 1) << "a new line, since the old one is passed over";
}

TEST(LineMap, CountsTheNodesThatTouchedALine) {
  LineMap map;
  add_wall(map, 0.0, 0.1, 1.0, 0);
  EXPECT_EQ(map.lines()[0].nodes, 1);
  add_wall(map, 0.0, 0.1, 1.0, 1);
  add_wall(map, 0.0, 0.1, 1.0, 1);
  EXPECT_EQ(map.lines()[0].nodes, 2);
  EXPECT_EQ(map.lines()[0].last_node, 1);
}

TEST(LineMap, AnEmptyMapFindsNothing) {
  LineMap map;
  map.fit();
  EXPECT_EQ(map.find({0.0, 0.0}, kUp, 1.0), LineMap::kNone);
  add_wall(map, 0.0, 0.1, 0.0, 1);
  EXPECT_EQ(map.find({1e6, -1e6}, kUp, 1.0), LineMap::kNone);
}

TEST(LineMap, GrowingToAnySideLosesNothing) {
  LineMap map;
  std::vector<Eigen::Vector2d> places;
  for (int i = 0; i < 40; ++i) {
    // A spiral that leaves the reserved cells in all directions, negative coordinates included.
    places.emplace_back(i * 2.0 * std::cos(1.7 * i), i * 2.0 * std::sin(1.7 * i));
    map.add(places.back(), kUp, 1e4, 1, 0);
  }
  map.fit();
  ASSERT_EQ(map.lines().size(), places.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    EXPECT_EQ(map.find(places[i], kUp, 0.05), static_cast<std::int32_t>(i));
  }
}

// The grid of cells finds what a look at every line finds, by the rule of the header: smallest distance, lines beside
// the point a little further.
TEST(LineMapProperty, FindIsTheBestOfAllLines) {
  const LineMapOptions options;
  LineMap map;
  for (const Pose2& pose : {Pose2{}, Pose2{0.7, 0.3, 1.0}}) {
    add_points(map, scan_points(furnished_room(), pose), pose, {}, 1);
  }
  EXPECT_TRUE(rc::check([&] {
    const Eigen::Vector2d point(0.001 * *rc::gen::inRange(-3200, 3200), 0.001 * *rc::gen::inRange(-2200, 2200));
    const double angle = 0.001 * *rc::gen::inRange(-3141, 3142);
    const Eigen::Vector2d normal(std::cos(angle), std::sin(angle));
    const double gate = 0.001 * *rc::gen::inRange(10, 200);
    double best = gate;
    for (const Line& line : map.lines()) {
      const double along = line.along_of(point);
      if (line.normal.dot(normal) < options.normal_cosine) continue;
      if (along < line.first_along_m - options.half_length_m || along > line.last_along_m + options.half_length_m)
        continue;
      const double across = std::abs(line.across_of(point) - line.offset_m - line.slope * along);
      best = std::min(best, across + 0.25 * std::max(0.0, std::abs(along) - options.half_length_m));
    }
    const std::int32_t found = map.find(point, normal, gate);
    RC_ASSERT((found == LineMap::kNone) == (best == gate));
    if (found == LineMap::kNone) return;
    const Line& line = map.lines()[static_cast<std::size_t>(found)];
    const double along = line.along_of(point);
    const double cost = std::abs(line.across_of(point) - line.offset_m - line.slope * along) +
                        0.25 * std::max(0.0, std::abs(along) - options.half_length_m);
    RC_ASSERT(std::abs(cost - best) < 1e-12);
  }));
}

TEST(LineMap, ForgetsWhatNoNodeTouchedLately) {
  LineMap map;
  add_wall(map, 0.0, 3.0, 0.0, 1);
  add_wall(map, 0.0, 3.0, 2.0, 5);
  const std::size_t before = map.lines().size();
  map.forget(3);
  EXPECT_EQ(map.lines().size(), before / 2);
  EXPECT_EQ(map.find({1.0, 0.01}, kUp, 0.1), LineMap::kNone);
  const std::int32_t kept = map.find({1.0, 2.01}, kUp, 0.1);
  ASSERT_NE(kept, LineMap::kNone);
  EXPECT_NEAR(map.lines()[static_cast<std::size_t>(kept)].distance_of({1.0, 2.01}), 0.01, 1e-3);
  add_wall(map, 0.0, 3.0, 0.0, 6);
  EXPECT_EQ(map.lines().size(), before);
}

}  // namespace
}  // namespace wainscot
