#include "core/face_gathering.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include <gtest/gtest.h>

#include "core/log_odds.hpp"
#include "tests/core/raster_beams.hpp"

namespace wainscot {
namespace {

/// A frame of 9 by 5 cells in which every column was hit alike: `hits` and the beams' direction along y, row by row.
class Wall {
 public:
  Wall(std::vector<std::uint32_t> hits, std::vector<float> along_y) {
    for (int row = 0; row < votes_.frame.rows; ++row) {
      const auto r = static_cast<std::size_t>(row);
      for (int column = 0; column < votes_.frame.columns; ++column) {
        votes_.hits.push_back({hits[r], Eigen::Vector2f(0.0F, along_y[r] * static_cast<float>(hits[r]))});
        const float log_odds = hits[r] > 0 ? 2.0F : -2.0F;
        votes_.visits.push_back({.log_odds = log_odds, .crossed = static_cast<std::uint8_t>(row < 2 ? 1 : 0)});
      }
    }
  }

  /// Of the middle column, row by row.
  std::vector<float> gathered() const {
    OccupancyGrid grid{votes_.frame, {}};
    for (const VisitVotes& v : votes_.visits) grid.probability.push_back(probability_of(v.log_odds));
    gather_faces(votes_, options_, grid);
    std::vector<float> column;
    for (std::size_t row = 0; row < 5; ++row) column.push_back(grid.probability[row * 9 + 4]);
    return column;
  }

  const RasteriserOptions& options() const { return options_; }

 private:
  RasteriserOptions options_;
  CellVotes votes_{.frame = {0.05, 0, 0, 9, 5}, .visits = {}, .hits = {}};
};

// Seen from below: rows 0 and 1 were crossed, nothing was seen behind the face.
TEST(FaceGathering, TheRowWithTheMostHitsTakesThoseBesideIt) {
  const Wall wall({0, 3, 20, 4, 0}, {1, 1, 1, 1, 1});
  const std::vector<float> column = wall.gathered();
  EXPECT_EQ(column[2], probability_of(2.0 + wall.options().hit_log_odds));
  EXPECT_EQ(column[1], probability_of(wall.options().prior_log_odds));  // was seen through as well
  EXPECT_TRUE(std::isnan(column[3]));
  EXPECT_EQ(column[0], probability_of(-2.0));  // has no hits of its own
}

TEST(FaceGathering, AFaceSeenFromTheOtherSideIsNoNoise) {
  const std::vector<float> column = Wall({0, 0, 20, 15, 0}, {1, 1, 1, -1, 1}).gathered();
  EXPECT_EQ(column[2], probability_of(2.0));
  EXPECT_EQ(column[3], probability_of(2.0));
}

TEST(FaceGathering, NothingOccupiedIsLeftAsItIs) {
  const std::vector<float> column = Wall({0, 0, 0, 0, 0}, {1, 1, 1, 1, 1}).gathered();
  EXPECT_EQ(column, std::vector<float>(5, probability_of(-2.0)));
}

/// A square room of 4 m, turned by `turn`, seen from its middle by `scans` scans with range noise.
struct Room {
  double half_m = 2.0;
  double turn_rad = 0.0;
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();

  double range(const Eigen::Vector2d& from, double angle) const {
    const Eigen::Rotation2Dd into(-turn_rad);
    const Eigen::Vector2d p = into * (from - middle);
    const Eigen::Vector2d d = into * Eigen::Vector2d(std::cos(angle), std::sin(angle));
    const double to_x = ((d.x() > 0 ? half_m : -half_m) - p.x()) / d.x();
    const double to_y = ((d.y() > 0 ? half_m : -half_m) - p.y()) / d.y();
    return std::min(to_x, to_y);
  }

  double distance_to_wall(const Eigen::Vector2d& point) const {
    const Eigen::Vector2d p = (Eigen::Rotation2Dd(-turn_rad) * (point - middle)).cwiseAbs();
    const Eigen::Vector2d over = p.array() - half_m;
    if (over.maxCoeff() <= 0.0) {
      return -over.maxCoeff();
    }
    return over.cwiseMax(0.0).norm();
  }
};

struct GridQuality {
  double recall = 0.0;  ///< of wall points, those with an occupied cell within one cell
  double stray = 0.0;   ///< of occupied cells, those more than 1.5 cells from the wall
  double occupied_per_wall_cell = 0.0;
};

GridQuality quality_of_room(const Room& room, int scans, double noise_m, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> noise(0.0, noise_m);
  std::uniform_real_distribution<double> phase(0.0, 1.0);
  const double cell = 0.05;
  const GridFrame frame = frame_around({Eigen::Vector2d(-4, -4), Eigen::Vector2d(4, 4)}, cell, 0.2);
  RasteriserOptions options;
  options.range_noise_m = noise_m;
  options.found_range_noise_m = noise_m;
  Rasteriser rasteriser(frame, options);
  for (int scan = 0; scan < scans; ++scan) {
    const double y = phase(random) - 0.5;  // each in a line of its own: arguments are evaluated in any order
    const double x = phase(random) - 0.5;
    const Eigen::Vector2d origin = room.middle + 0.5 * Eigen::Vector2d(x, y);
    std::vector<RasterBeam> beams;
    for (int i = 0; i < 450; ++i) {
      const double angle = 2 * kPi * i / 450;
      const double range = room.range(origin, angle) + noise(random);
      beams.push_back(beam(origin.x(), origin.y(), origin.x() + range * std::cos(angle),
                           origin.y() + range * std::sin(angle), true));
    }
    rasteriser.add_scan(beams, scan / 20);
  }
  const OccupancyGrid grid = rasteriser.grid();
  std::vector<Eigen::Vector2d> occupied;
  GridQuality quality;
  for (std::size_t i = 0; i < grid.probability.size(); ++i) {
    if (grid.probability[i] > 0.5F) {
      occupied.push_back(middle_of(frame, i));
      quality.stray += room.distance_to_wall(occupied.back()) > 1.5 * cell ? 1.0 : 0.0;
    }
  }
  quality.stray /= std::max(1.0, static_cast<double>(occupied.size()));
  int points = 0;
  for (double along = -room.half_m; along < room.half_m; along += 0.01) {
    for (const Eigen::Vector2d& local : {Eigen::Vector2d(along, room.half_m), Eigen::Vector2d(along, -room.half_m),
                                         Eigen::Vector2d(room.half_m, along), Eigen::Vector2d(-room.half_m, along)}) {
      const Eigen::Vector2d wall = room.middle + Eigen::Rotation2Dd(room.turn_rad) * local;
      ++points;
      quality.recall += std::any_of(occupied.begin(), occupied.end(), [&](const Eigen::Vector2d& middle) {
        return (middle - wall).cwiseAbs().maxCoeff() <= 1.5 * cell;
      });
    }
  }
  quality.recall /= points;
  quality.occupied_per_wall_cell = static_cast<double>(occupied.size()) * cell / (8 * room.half_m);
  return quality;
}

TEST(FaceGathering, FindsWallsWhereTheyAre) {
  // Bounds: the project's goals for the grid (97 % of wall seen three times, at most 1 % stray); 3 scans and many.
  for (const double noise_m : {0.015, 0.030}) {
    for (const int scans : {3, 10, 100}) {
      for (int turn = 0; turn < 4; ++turn) {
        const Room room{2.0 + 0.013 * turn, 0.26 * turn, {0.01 * turn, -0.017 * turn}};
        const GridQuality quality = quality_of_room(room, scans, noise_m, static_cast<unsigned>(100 * turn + scans));
        SCOPED_TRACE(testing::Message() << "noise " << noise_m << " scans " << scans << " turn " << room.turn_rad);
        EXPECT_GE(quality.recall, 0.97);
        EXPECT_LE(quality.stray, 0.01);
        EXPECT_LE(quality.occupied_per_wall_cell, 1.25) << "walls are thicker than one cell";
      }
    }
  }
}

TEST(FaceGathering, KeepsBothFacesOfAThinWallApart) {
  // Faces at y = 1.02 and 1.09, the lower one seen ten times as often: its noise must not swallow the other.
  const GridFrame frame{0.05, 0, 0, 60, 60};
  Rasteriser rasteriser(frame);
  std::mt19937 random(8);
  std::normal_distribution<double> noise(0.0, 0.015);
  for (int scan = 0; scan < 110; ++scan) {
    std::vector<RasterBeam> beams;
    for (double x = 0.5; x < 2.5; x += 0.02) {
      const bool below = scan < 100;
      beams.push_back(beam(x, below ? 0.2 : 2.0, x, (below ? 1.02 : 1.09) + noise(random), true));
    }
    rasteriser.add_scan(beams, scan / 10);
  }
  const OccupancyGrid grid = rasteriser.grid();
  int both = 0;
  for (double x = 0.525; x < 2.5; x += 0.05) {
    const bool lower = grid.probability[cell_at(frame, x, 1.02)] > 0.5F;
    const bool upper = grid.probability[cell_at(frame, x, 1.09)] > 0.5F;
    both += lower && upper ? 1 : 0;
  }
  EXPECT_EQ(both, 40);
}

TEST(FaceGathering, TheResultDependsOnTheScansOnly) {
  const Room room{2.0, 0.4, {0.0, 0.0}};
  const GridQuality a = quality_of_room(room, 20, 0.02, 9);
  const GridQuality b = quality_of_room(room, 20, 0.02, 9);
  EXPECT_EQ(a.recall, b.recall);
  EXPECT_EQ(a.occupied_per_wall_cell, b.occupied_per_wall_cell);
}

}  // namespace
}  // namespace wainscot
