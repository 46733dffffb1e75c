#include "tests/bench/wall_alignment.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>
#include <set>
#include <string>
#include <utility>

#include "core/angles.hpp"
#include "io/files/csv_reader.hpp"
#include "io/files/file_reader.hpp"
#include "scanmatch/correlative.hpp"

namespace wainscot::bench {
namespace {

using Points = std::vector<Eigen::Vector2d>;

std::pair<int, int> square_of(const Eigen::Vector2d& point, double side_m) {
  return {static_cast<int>(std::floor(point.x() / side_m)), static_cast<int>(std::floor(point.y() / side_m))};
}

/// One point of each square, the first.
Points thinned(const Points& points, double side_m) {
  std::set<std::pair<int, int>> taken;
  Points some;
  for (const Eigen::Vector2d& point : points) {
    if (taken.insert(square_of(point, side_m)).second) some.push_back(point);
  }
  return some;
}

/// Finds the reference cell nearest to a point.
class NearestWall {
 public:
  explicit NearestWall(const Points& walls) {
    for (const Eigen::Vector2d& wall : walls) squares_[square_of(wall, kSide_m)].push_back(wall);
  }

  /// Nothing where none is nearer than `gate_m`.
  std::optional<Eigen::Vector2d> of(const Eigen::Vector2d& point, double gate_m) const {
    const int reach = static_cast<int>(std::ceil(gate_m / kSide_m));
    const auto [column, row] = square_of(point, kSide_m);
    std::optional<Eigen::Vector2d> nearest;
    double least_m2 = gate_m * gate_m;
    for (int c = column - reach; c <= column + reach; ++c) {
      for (auto at = squares_.lower_bound({c, row - reach}); at != squares_.end() && at->first.first == c; ++at) {
        if (at->first.second > row + reach) break;
        for (const Eigen::Vector2d& wall : at->second) {
          const double square_m2 = (wall - point).squaredNorm();
          if (square_m2 >= least_m2) continue;
          least_m2 = square_m2;
          nearest = wall;
        }
      }
    }
    return nearest;
  }

 private:
  static constexpr double kSide_m = 0.5;  // some ten cells of wall: few to compare, and few squares for the widest gate
  std::map<std::pair<int, int>, Points> squares_;
};

Eigen::Vector2d mean_of(const Points& points) {
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  for (const Eigen::Vector2d& point : points) sum += point;
  return sum / static_cast<double>(std::max<std::size_t>(points.size(), 1));
}

/// The motion that brings `from` onto `onto` point by point with the least squares (Umeyama 1991, in the plane).
Pose2 fitted_motion(const Points& from, const Points& onto) {
  const Eigen::Vector2d from_mean = mean_of(from);
  const Eigen::Vector2d onto_mean = mean_of(onto);
  double along = 0.0, across = 0.0;
  for (std::size_t i = 0; i < from.size(); ++i) {
    const Eigen::Vector2d a = from[i] - from_mean;
    const Eigen::Vector2d b = onto[i] - onto_mean;
    along += a.dot(b);
    across += a.x() * b.y() - a.y() * b.x();
  }
  Pose2 motion{0.0, 0.0, std::atan2(across, along)};
  const Eigen::Vector2d shift = onto_mean - motion.rotation() * from_mean;
  return {shift.x(), shift.y(), motion.heading_rad};
}

Pose2 refined(const Points& cells, const NearestWall& nearest, Pose2 motion) {
  constexpr double kFirstGate_m = 1.0;  // what the coarse search leaves: half a heading step at 40 m, and a square
  constexpr double kNarrowing = 0.85;   // twelve steps from there to kOnWall_m,
  constexpr int kLastSteps = 6;         // and some at that, the gate that counts
  int last_steps = 0;
  for (double gate_m = kFirstGate_m; last_steps < kLastSteps; gate_m = std::max(kOnWall_m, kNarrowing * gate_m)) {
    if (gate_m <= kOnWall_m) ++last_steps;
    Points from, onto;
    for (const Eigen::Vector2d& cell : cells) {
      const std::optional<Eigen::Vector2d> wall = nearest.of(motion * cell, gate_m);
      if (!wall) continue;
      from.push_back(cell);
      onto.push_back(*wall);
    }
    if (from.size() < 2) return motion;
    motion = fitted_motion(from, onto);
  }
  return motion;
}

double share_within(const Points& cells, const NearestWall& nearest, const Pose2& motion, double gate_m) {
  const auto near = std::count_if(cells.begin(), cells.end(), [&](const Eigen::Vector2d& cell) {
    return nearest.of(motion * cell, gate_m).has_value();
  });
  return static_cast<double>(near) / static_cast<double>(cells.size());
}

/// Where the middle of a map that lies on the walls can be: everywhere between them.
Points places_between(const Points& walls, double step_m) {
  Eigen::Vector2d low = walls.front(), high = walls.front();
  for (const Eigen::Vector2d& wall : walls) {
    low = low.cwiseMin(wall);
    high = high.cwiseMax(wall);
  }
  Points places;
  for (double x_m = low.x(); x_m <= high.x() + step_m; x_m += step_m) {
    for (double y_m = low.y(); y_m <= high.y() + step_m; y_m += step_m) places.emplace_back(x_m, y_m);
  }
  return places;
}

/// Promising motions, to half a metre or so.
std::vector<Pose2> coarse_motions(const Points& cells, const Points& walls) {
  constexpr double kSquare_m = 0.25;
  constexpr double kHeadingStepRad = 1.5 / kDegreesPerRadian;  // half of it is 0.4 m at 30 m: kBlur_m still scores it
  constexpr double kBlur_m = 0.4;
  constexpr double kThinned_m = 0.5;  // about kBlur_m: nearer points say the same
  CorrelativeOptions raster;
  raster.cell_m = kSquare_m;
  raster.blur_m = kBlur_m;
  PeakOptions peaks;
  peaks.min_score = 0.1;  // the best is wanted, however poor
  peaks.of_best = 0.85;
  peaks.most = 12;  // a building of right angles and equal rooms has some rivals
  peaks.apart_m = 1.0;
  peaks.apart_rad = 2.0 * kHeadingStepRad;
  peaks.widest_block_m = 1.0;
  const Eigen::Vector2d middle = mean_of(cells);
  Points around;
  for (const Eigen::Vector2d& cell : thinned(cells, kThinned_m)) around.emplace_back(cell - middle);
  std::vector<double> headings_rad;
  for (double heading = 0.0; heading < 2.0 * std::numbers::pi; heading += kHeadingStepRad)
    headings_rad.push_back(heading);
  const LikelihoodRaster likelihoods(thinned(walls, kSquare_m), raster);
  std::vector<Pose2> motions;
  for (const CorrelativeMatch& peak :
       likelihoods.peaks(around, headings_rad, places_between(walls, kSquare_m), peaks)) {
    motions.push_back(peak.pose * Pose2{-middle.x(), -middle.y(), 0.0});
  }
  return motions;
}

}  // namespace

std::vector<Eigen::Vector2d> read_reference_walls(const std::filesystem::path& path) {
  FileReader file(path);
  std::vector<std::string> warnings;
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto columns = table.find_columns({"x_m", "y_m"}, {});
  constexpr double kLargest_m = 1e4;  // ten kilometres: what is beyond is in another unit
  Points walls;
  while (table.next_row()) {
    walls.emplace_back(table.number_within(columns[0], kLargest_m), table.number_within(columns[1], kLargest_m));
  }
  return walls;
}

std::vector<Eigen::Vector2d> occupied_cells(const OccupancyGrid& grid) {
  const auto columns = static_cast<std::size_t>(grid.frame.columns);
  Points cells;
  for (std::size_t i = 0; i < grid.probability.size(); ++i) {
    if (!(grid.probability[i] > 0.5F)) continue;
    const Eigen::Vector2d middle(static_cast<double>(i % columns) + 0.5, static_cast<double>(i / columns) + 0.5);
    cells.emplace_back(grid.frame.lower_left_corner_m() + grid.frame.cell_size_m * middle);
  }
  return cells;
}

WallAlignment align_to_walls(const std::vector<Eigen::Vector2d>& cells, const std::vector<Eigen::Vector2d>& walls) {
  WallAlignment best;
  best.cells = cells.size();
  if (cells.empty() || walls.empty()) return best;
  const NearestWall nearest(walls);
  for (const Pose2& coarse : coarse_motions(cells, walls)) {
    const Pose2 motion = refined(cells, nearest, coarse);
    const double share = share_within(cells, nearest, motion, kOnWall_m);
    if (share <= best.on_walls) continue;
    best.on_walls = share;
    best.reference_map = motion;
  }
  best.within_30cm = share_within(cells, nearest, best.reference_map, 0.3);
  best.within_1m = share_within(cells, nearest, best.reference_map, 1.0);
  return best;
}

}  // namespace wainscot::bench
