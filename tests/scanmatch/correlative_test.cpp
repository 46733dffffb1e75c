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

/// The furnished room twice, the second time turned and far off.
std::vector<Eigen::Vector2d> two_rooms(const Pose2& second) {
  std::vector<Eigen::Vector2d> reference = ends(furnished_room(), {}, 720);
  for (const Eigen::Vector2d& p : ends(furnished_room(), {}, 720)) reference.push_back(second * p);
  return reference;
}

std::vector<Eigen::Vector2d> floor_around(const Pose2& room) {
  std::vector<Eigen::Vector2d> floor;
  for (double x = -2.4; x < 2.5; x += 0.2) {
    for (double y = -1.4; y < 1.5; y += 0.2) floor.push_back(room * Eigen::Vector2d(x, y));
  }
  return floor;
}

std::vector<double> all_headings() {
  std::vector<double> headings;
  for (int i = 0; i < 180; ++i) headings.push_back(i * std::numbers::pi / 90.0);
  return headings;
}

TEST(CorrelativePeaks, NameEveryPlaceThatFitsAndTheBestFirst) {
  const Pose2 second{9.0, 2.0, 1.2};
  CorrelativeOptions options;
  options.cell_m = options.blur_m = 0.1;
  const LikelihoodRaster raster(two_rooms(second), options);
  std::vector<Eigen::Vector2d> floor = floor_around({});
  for (const Eigen::Vector2d& p : floor_around(second)) floor.push_back(p);
  const Pose2 truth{0.8, -0.5, 2.4};
  const std::vector<CorrelativeMatch> peaks =
      raster.peaks(ends(furnished_room(), truth, 180), all_headings(), floor, {});
  ASSERT_GE(peaks.size(), 2U);
  int found = 0;
  for (std::size_t i = 0; i < 2; ++i) {
    for (const Pose2& place : {truth, second * truth}) {
      found += (peaks[i].pose.translation() - place.translation()).norm() < 0.12 &&
                       std::abs(wrap_angle(peaks[i].pose.heading_rad - place.heading_rad)) < 0.05
                   ? 1
                   : 0;
    }
  }
  EXPECT_EQ(found, 2);
  for (std::size_t i = 1; i < peaks.size(); ++i) {
    EXPECT_LE(peaks[i].score, peaks[i - 1].score);
    EXPECT_GE(peaks[i].score, 0.7 * peaks.front().score);
  }
}

// The highest peak is that of trying every cell of the searched squares in every heading.
TEST(CorrelativePeaks, NoHigherPlaceIsPassedOver) {
  CorrelativeOptions options;
  options.cell_m = options.blur_m = 0.1;
  const LikelihoodRaster raster(ends(furnished_room(), {}, 720), options);
  const std::vector<Eigen::Vector2d> points = ends(furnished_room(), {-0.7, 0.3, 0.9}, 60);
  const std::vector<double> headings = {0.0, 0.86, 0.92, 2.0, 4.1};
  const std::vector<CorrelativeMatch> peaks = raster.peaks(points, headings, floor_around({}), {});
  ASSERT_FALSE(peaks.empty());
  double best = 0.0;
  for (const double heading : headings) {
    for (int column = -28; column < 28; ++column) {
      for (int row = -16; row < 16; ++row) {
        const auto here = raster.search(points, {0.1 * column, 0.1 * row, heading}, {0.0, 0.0, 0.0});
        if (here) best = std::max(best, here->score);
      }
    }
  }
  EXPECT_DOUBLE_EQ(peaks.front().score, best);
}

TEST(CorrelativePeaks, NothingIsFoundInNothing) {
  EXPECT_TRUE(LikelihoodRaster({}, {}).peaks({{1.0, 0.0}}, {0.0}, {{0.0, 0.0}}, {}).empty());
  EXPECT_TRUE(LikelihoodRaster(two_rooms({}), {}).peaks({}, {0.0}, {{0.0, 0.0}}, {}).empty());
  EXPECT_TRUE(LikelihoodRaster(two_rooms({}), {}).peaks({{1.0, 0.0}}, {0.0}, {}, {}).empty());
}

}  // namespace
}  // namespace wainscot
