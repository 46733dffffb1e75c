#include "scanmatch/normals.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include "core/angles.hpp"
#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

const RangeNoise kExact{0.0005, 0.0};  // a lidar without noise: what is not a line to the millimetre is none

bool known(const ScanPoint& p) { return p.has_normal(); }

Eigen::Vector2d normal_of(const ScanPoint& p) { return {p.normal_x, p.normal_y}; }

/// Angle between the directions of two vectors.
double angle_between(const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  return std::abs(std::atan2(a.x() * b.y() - a.y() * b.x(), a.dot(b)));
}

TEST(Normals, AreTheWallsOwnAndPointToTheLidar) {
  const std::vector<ScanPoint> truth = scan_points(rectangle(5.0, 4.0), {0.3, 0.2, 0.4});
  std::vector<ScanPoint> points = truth;
  estimate_normals(points, kExact);
  int number = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!known(points[i])) continue;
    ++number;
    EXPECT_LT(angle_between(normal_of(points[i]), normal_of(truth[i])), 0.02);
    EXPECT_NEAR(normal_of(points[i]).norm(), 1.0, 1e-6);
    EXPECT_LT(points[i].normal_x * points[i].beam_x + points[i].normal_y * points[i].beam_y, 0.0F);
  }
  EXPECT_GT(number, 300) << "most of an empty room is straight wall";
}

TEST(Normals, AreGoodToThreeDegreesAtFifteenMillimetresOfNoise) {
  std::mt19937 random(11);
  const RangeNoise noise{0.015, 0.0};
  double squares = 0.0;
  int number = 0;
  for (int scan = 0; scan < 20; ++scan) {
    const std::vector<ScanPoint> truth = scan_points(round_room(2.0), {}, {720, 8.0, 0.015}, &random);
    std::vector<ScanPoint> points = truth;
    estimate_normals(points, noise);
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (!known(points[i])) continue;
      squares += std::pow(angle_between(normal_of(points[i]), normal_of(truth[i])), 2);
      ++number;
    }
  }
  EXPECT_GT(number, 20 * 720 * 9 / 10);
  EXPECT_LT(std::sqrt(squares / number), 3.0 * kDegree);
}

TEST(Normals, AreUnknownInACorner) {
  std::vector<ScanPoint> points = scan_points(rectangle(4.0, 4.0), {});
  estimate_normals(points, kExact);
  for (const ScanPoint& p : points) {
    const double from_corner_m = std::hypot(2.0 - std::abs(p.x_m), 2.0 - std::abs(p.y_m));
    if (from_corner_m < 0.08 || from_corner_m > 0.4) {
      EXPECT_EQ(known(p), from_corner_m > 0.4) << p.x_m << ", " << p.y_m;
    }
  }
}

TEST(Normals, AreUnknownOnAThinLegAndUnharmedBehindIt) {
  Room room = rectangle(5.0, 4.0);
  room.round_walls.push_back({{1.2, 0.0}, 0.015});
  const std::vector<ScanPoint> truth = scan_points(room, {}, {720});
  std::vector<ScanPoint> points = truth;
  estimate_normals(points, kExact);
  int on_leg = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (points[i].range_m < 1.3F && std::abs(points[i].y_m) < 0.02F && points[i].x_m > 0.0F) {
      ++on_leg;
      EXPECT_FALSE(known(points[i]));
    } else if (points[i].x_m > 2.4F && std::abs(points[i].y_m) < 0.5F && known(points[i])) {
      EXPECT_LT(angle_between(normal_of(points[i]), normal_of(truth[i])), 0.01);
    }
  }
  EXPECT_GE(on_leg, 2);
}

// Down a corridor neighbouring returns are half a metre apart: more than neighbours of one wall usually are.
TEST(Normals, AreKnownWhereBeamsGrazeAWall) {
  const std::vector<ScanPoint> truth = scan_points(rectangle(30.0, 2.0), {}, {360, 50.0});
  std::vector<ScanPoint> points = truth;
  estimate_normals(points, {0.01, 0.0});
  int grazed = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double along_m = std::abs(points[i].x_m);
    if (std::abs(points[i].y_m) < 0.99F || along_m < 3.0 || along_m > 4.5) continue;
    ++grazed;
    ASSERT_TRUE(known(points[i])) << along_m;
    EXPECT_LT(angle_between(normal_of(points[i]), normal_of(truth[i])), 1.0 * kDegree);
    EXPECT_GT(points[i].spacing_m, 0.15F) << "beams a degree apart, at a quarter of their angle";
  }
  EXPECT_GT(grazed, 12);
  std::vector<ScanPoint> single = truth;
  for (ScanPoint& p : single) p.normal_x = p.normal_y = 0.0F;
  estimate_normals(single, {0.01, 0.0}, kNormalsOfSingleScans);
  for (const ScanPoint& p : single) EXPECT_FALSE(known(p) && std::abs(p.x_m) > 3.0F && std::abs(p.x_m) < 4.5F);
}

TEST(Normals, DoNotReachAcrossADepthEdge) {
  // A wall whose left half stands 1 m nearer: the normals beside the step are those of one wall or unknown.
  Room room;
  room.walls = {{{3.0, -2.0}, {3.0, 0.0}}, {{2.0, 0.0}, {2.0, 2.0}}};
  std::vector<ScanPoint> points = scan_points(room, {}, {720});
  estimate_normals(points, kExact);
  int near_the_step = 0;
  for (const ScanPoint& p : points) {
    if (!known(p)) continue;
    EXPECT_LT(angle_between(normal_of(p), {-1.0, 0.0}), 0.01);
    if (std::abs(p.y_m) < 0.1F) ++near_the_step;
  }
  EXPECT_GT(near_the_step, 4);
}

TEST(Normals, AreUnknownWhereTheBeamGrazes) {
  std::vector<ScanPoint> points = scan_points(corridor(0.8), {}, {1440, 6.0});
  const NormalOptions options;
  estimate_normals(points, kExact, options);
  int grazing = 0;
  int steep = 0;
  for (const ScanPoint& p : points) {
    const double cosine = std::abs(p.beam_y);
    if (cosine < options.min_incidence_cosine - 1e-3) {
      ++grazing;
      EXPECT_FALSE(known(p));
    } else if (cosine > 0.3) {
      ++steep;
      EXPECT_TRUE(known(p));
    }
  }
  EXPECT_GT(grazing, 20);
  EXPECT_GT(steep, 1000);
}

TEST(Normals, AFullTurnHasNoSeam) {
  std::vector<ScanPoint> points = scan_points(round_room(2.0), {});
  estimate_normals(points, {0.005, 0.0});
  for (const ScanPoint& p : points) EXPECT_TRUE(known(p)) << p.angle_rad;
}

TEST(Normals, TheEndsOfAPartialTurnAreNotNeighbours) {
  // 240 degrees.
  std::vector<ScanPoint> points = scan_points(round_room(2.0), {}, {720});
  points.resize(480);
  estimate_normals(points, {0.005, 0.0});
  // One-sided neighbourhoods at the ends still lie on the wall, so the normals stay true.
  for (const ScanPoint& p : {points.front(), points.back()}) {
    ASSERT_TRUE(known(p));
    EXPECT_LT(angle_between(normal_of(p), {-p.beam_x, -p.beam_y}), 0.06);
  }
}

TEST(Normals, AreUnknownWithFewNeighbours) {
  std::vector<ScanPoint> points = scan_points(round_room(2.0), {}, {720});
  points.resize(4);
  estimate_normals(points, kExact);
  for (const ScanPoint& p : points) EXPECT_FALSE(known(p));
  std::vector<ScanPoint> none;
  estimate_normals(none, kExact);
  EXPECT_TRUE(none.empty());
}

TEST(Normals, OldNormalsAreNotKept) {
  for (std::size_t number : {3U, 40U}) {
    std::vector<ScanPoint> points = scan_points(furnished_room(), {}, {360});
    points.resize(number);
    for (ScanPoint& p : points) {
      // Scattered so that nothing is a line; the points come with normals from before.
      p.range_m = 1.0F + 0.9F * static_cast<float>((&p - points.data()) % 3);
      p.x_m = p.range_m * p.beam_x;
      p.y_m = p.range_m * p.beam_y;
    }
    estimate_normals(points, kExact);
    for (const ScanPoint& p : points) EXPECT_FALSE(known(p)) << number;
  }
}

TEST(RangeNoise, GrowsWithTheRange) { EXPECT_DOUBLE_EQ((RangeNoise{0.01, 0.002}.at(5.0)), 0.02); }

TEST(RangeNoise, IsWhatTheLidarsConstantsState) {
  LidarConstants lidar;
  lidar.noise_m = 0.012;
  lidar.noise_per_m = 0.003;
  EXPECT_EQ(range_noise(lidar).near_m, 0.012);
  EXPECT_EQ(range_noise(lidar).per_m, 0.003);
}

// Turning the lidar turns the normals, and nothing else.
TEST(NormalsProperty, TurnWithTheScan) {
  EXPECT_TRUE(rc::check([] {
    const double turn = 0.001 * *rc::gen::inRange(-3141, 3142);
    const int first = *rc::gen::inRange(0, 1000);
    RoomScan options;
    options.first_angle_rad = 1e-5 * first;
    std::vector<ScanPoint> points = scan_points(furnished_room(), {0.2, 0.1, 0.0}, options);
    std::vector<ScanPoint> turned = points;
    const Pose2 by{0.0, 0.0, turn};
    for (ScanPoint& p : turned) {
      const Eigen::Vector2d end = by * Eigen::Vector2d(p.x_m, p.y_m);
      const Eigen::Vector2d beam = by * Eigen::Vector2d(p.beam_x, p.beam_y);
      p = {static_cast<float>(end.x()),
           static_cast<float>(end.y()),
           static_cast<float>(beam.x()),
           static_cast<float>(beam.y()),
           p.range_m,
           0.0F,
           0.0F,
           p.time_offset_s,
           static_cast<float>(wrap_angle(p.angle_rad + turn))};
    }
    estimate_normals(points, {0.005, 0.0});
    estimate_normals(turned, {0.005, 0.0});
    int differ = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (known(points[i]) != known(turned[i])) {
        ++differ;  // a test of quality decided by the last digit
        continue;
      }
      RC_ASSERT((by * normal_of(points[i]) - normal_of(turned[i])).norm() < 2e-3);
    }
    RC_ASSERT(differ <= 3);
  }));
}

}  // namespace
}  // namespace wainscot
