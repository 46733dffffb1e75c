#include "scanmatch/correlative.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

std::vector<Eigen::Vector2d> ends(const Room& room, const Pose2& pose, int beams) {
  std::vector<Eigen::Vector2d> result;
  for (const ScanPoint& p : scan_points(room, pose, {beams})) result.emplace_back(p.x_m, p.y_m);
  return result;
}

double drawn(double most) { return most * static_cast<double>(*rc::gen::inRange(-1000, 1001)) / 1000.0; }

TEST(Correlative, FindsAPlaceFarFromThePrediction) {
  const Room room = furnished_room();
  CorrelativeOptions options;
  const LikelihoodRaster raster(ends(room, {}, 720), options);
  for (const Pose2& truth : {Pose2{0.8, -0.5, 0.4}, Pose2{-0.9, 0.6, -0.55}, Pose2{0.0, 0.0, 0.0}}) {
    const auto match = raster.search(ends(room, truth, 180), {}, {1.0, 1.0, 0.6});
    ASSERT_TRUE(match);
    EXPECT_NEAR(match->pose.x_m, truth.x_m, options.cell_m);
    EXPECT_NEAR(match->pose.y_m, truth.y_m, options.cell_m);
    EXPECT_NEAR(match->pose.heading_rad, truth.heading_rad, options.heading_step_rad);
    EXPECT_GT(match->score, 0.7);
    EXPECT_LE(match->score, 1.0);
  }
}

TEST(Correlative, ICPConvergesFromWhereTheSearchEnds) {
  const Room room = furnished_room();
  LineMap map;
  add_points(map, scan_points(room, {}), {}, {}, 1);
  const Pose2 truth{0.83, -0.52, 0.41};
  const auto match = LikelihoodRaster(ends(room, {}, 720), {}).search(ends(room, truth, 180), {}, {1.0, 1.0, 0.6});
  ASSERT_TRUE(match);
  const IcpResult result = match_icp(scan_points(room, truth), map, {}, match->pose, Eigen::Matrix3d::Zero());
  EXPECT_LT(apart(truth, result.pose), 5e-3);
}

// A window without extent has one pose: the search over all of them in turn is the brute force that the coarse levels
// spare.
TEST(CorrelativeProperty, TheOptimumIsThatOfBruteForce) {
  EXPECT_TRUE(rc::check([] {
    const Room room = furnished_room();
    CorrelativeOptions options;
    options.min_score = 0.0;
    const LikelihoodRaster raster(ends(room, {}, 360), options);
    const Pose2 truth{drawn(0.5), drawn(0.5), drawn(3.1)};
    std::vector<Eigen::Vector2d> points = ends(room, truth, 40);
    const Pose2 predicted = truth * exp({drawn(0.3), drawn(0.3), drawn(0.1)});
    const int cells_x = *rc::gen::inRange(0, 9);
    const int cells_y = *rc::gen::inRange(0, 9);
    const int turns = *rc::gen::inRange(0, 4);
    // Half a cell less than whole ones, so that rounding does not decide how many fit.
    const auto half = [](int number, double step) { return number == 0 ? 0.0 : (number - 0.5) * step; };
    const auto found = raster.search(
        points, predicted,
        {half(cells_x, options.cell_m), half(cells_y, options.cell_m), half(turns, options.heading_step_rad)});
    double best = 0.0;
    for (int t = -turns; t <= turns; ++t) {
      for (int dx = -cells_x; dx <= cells_x; ++dx) {
        for (int dy = -cells_y; dy <= cells_y; ++dy) {
          const Pose2 pose{predicted.x_m + dx * options.cell_m, predicted.y_m + dy * options.cell_m,
                           predicted.heading_rad + t * options.heading_step_rad};
          best = std::max(best, raster.search(points, pose, {0.0, 0.0, 0.0})->score);
        }
      }
    }
    RC_ASSERT(found.has_value());
    // Less than one point's least step apart: a point on the border of two cells may be rounded to either.
    RC_ASSERT(std::abs(found->score - best) < 1.0 / static_cast<double>(points.size()));
    const auto again = raster.search(points, found->pose, {0.0, 0.0, 0.0});
    RC_ASSERT(std::abs(again->score - found->score) < 1.0 / static_cast<double>(points.size()));
  }));
}

// exp(-d^2 / (2 blur^2)), d from the nearest reference point to the middle of the point's cell: a point and its cell's
// middle are at most 0.71 cells apart.
TEST(Correlative, ScoreIsTheMeanLikelihood) {
  CorrelativeOptions options;
  options.min_score = 0.0;
  options.cell_m = 0.01;
  const LikelihoodRaster raster({{1.0, 1.0}, {3.0, 1.0}}, options);
  for (double distance : {0.0, 0.03, 0.06, 0.1}) {
    const auto match = raster.search({{1.0, 1.0 + distance}}, {}, {0.0, 0.0, 0.0});
    ASSERT_TRUE(match);
    const double low = std::exp(-0.5 * std::pow((distance + 0.0071) / options.blur_m, 2)) - 1.0 / 255.0;
    const double high = std::exp(-0.5 * std::pow(std::max(0.0, distance - 0.0071) / options.blur_m, 2));
    EXPECT_GE(match->score, low) << distance;
    EXPECT_LE(match->score, high) << distance;
  }
  // Half of the points on the reference, half far away.
  const auto half = raster.search({{1.0, 1.0}, {50.0, -70.0}}, {}, {0.0, 0.0, 0.0});
  ASSERT_TRUE(half);
  EXPECT_NEAR(half->score, 0.5, 0.01);
}

TEST(Correlative, APlaceAtTheEdgeOfTheWindowIsFoundAndNothingBeyond) {
  const Room room = furnished_room();
  CorrelativeOptions options;
  const LikelihoodRaster raster(ends(room, {}, 720), options);
  const SearchWindow window{0.4, 0.3, 0.1};
  for (double sign : {-1.0, 1.0}) {
    const Pose2 edge{sign * 0.4, -sign * 0.3, sign * 0.1};
    const auto match = raster.search(ends(room, edge, 180), {}, window);
    ASSERT_TRUE(match);
    EXPECT_NEAR(match->pose.x_m, edge.x_m, options.cell_m);
    EXPECT_NEAR(match->pose.y_m, edge.y_m, options.cell_m);
    EXPECT_NEAR(match->pose.heading_rad, edge.heading_rad, options.heading_step_rad);

    const Pose2 beyond{sign * 0.6, 0.0, 0.0};
    options.min_score = 0.0;
    const auto nearest = LikelihoodRaster(ends(room, {}, 720), options).search(ends(room, beyond, 180), {}, window);
    ASSERT_TRUE(nearest);
    EXPECT_LE(std::abs(nearest->pose.x_m), window.half_x_m + options.cell_m);
    EXPECT_LE(std::abs(nearest->pose.y_m), window.half_y_m + options.cell_m);
    EXPECT_LE(std::abs(nearest->pose.heading_rad), window.half_heading_rad + options.heading_step_rad);
    options.min_score = CorrelativeOptions{}.min_score;
  }
}

// Points left of and below the raster: the coarse bounds must still hold there.
TEST(Correlative, AScanThatHangsOverTheEdgeOfTheReferenceIsFound) {
  const Room whole = rectangle(6.0, 4.0);
  std::vector<Eigen::Vector2d> reference;
  for (const Eigen::Vector2d& p : ends(whole, {}, 720)) {
    if (p.x() > 1.0 || p.y() > 1.0) reference.push_back(p);  // the upper right part only
  }
  const Pose2 truth{0.35, 0.3, 0.06};
  const auto match = LikelihoodRaster(reference, {}).search(ends(whole, truth, 180), {}, {0.8, 0.8, 0.2});
  ASSERT_TRUE(match);
  EXPECT_NEAR(match->pose.x_m, truth.x_m, 0.05);
  EXPECT_NEAR(match->pose.y_m, truth.y_m, 0.05);
  EXPECT_NEAR(match->pose.heading_rad, truth.heading_rad, 0.02);
}

TEST(Correlative, ThereIsNoMatchWhereNothingFits) {
  const LikelihoodRaster raster(ends(furnished_room(), {}, 360), {});
  const auto elsewhere = ends(rectangle(2.0, 2.0), {}, 180);
  EXPECT_FALSE(raster.search(elsewhere, {0.3, 0.0, 0.0}, {0.1, 0.1, 0.1}));
  EXPECT_FALSE(raster.search(elsewhere, {1000.0, -1000.0, 0.0}, {0.5, 0.5, 0.2}));
}

TEST(Correlative, EmptyInputsGiveNoMatch) {
  const std::vector<Eigen::Vector2d> points = ends(rectangle(4.0, 4.0), {}, 36);
  EXPECT_FALSE(LikelihoodRaster({}, {}).search(points, {}, {}));
  EXPECT_FALSE(LikelihoodRaster(points, {}).search({}, {}, {}));
}

TEST(Correlative, TheSameInputsGiveTheSameMatch) {
  // A square room looks the same after a quarter turn and the search sees many equal scores.
  const std::vector<Eigen::Vector2d> points = ends(rectangle(4.0, 4.0), {}, 90);
  const LikelihoodRaster raster(points, {});
  const auto first = raster.search(points, {}, {1.0, 1.0, 3.2});
  const auto second = raster.search(points, {}, {1.0, 1.0, 3.2});
  ASSERT_TRUE(first && second);
  EXPECT_EQ(log(first->pose), log(second->pose));
  EXPECT_EQ(first->score, second->score);
}

}  // namespace
}  // namespace wainscot
