#pragma once

// Correlative scan matching: the best place of a scan over a whole window of positions and headings, however poor the
// prediction.
//
// The reference is drawn into a raster of likelihoods; coarser rasters hold the maximum over 2^k x 2^k cells, so that a
// coarse score is an upper bound of every fine score below it, and a best-first search finds the optimum without
// looking at most of the window: E. B. Olson, "Real-time correlative scan matching", ICRA 2009.

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"

namespace wainscot {

struct SearchWindow {
  double half_x_m = 0.5;  ///< around the prediction, axes of the reference
  double half_y_m = 0.5;
  double half_heading_rad = 0.2;
};

struct CorrelativeOptions {
  double cell_m = 0.05;            ///< of the finest raster: a seventh of ICP's first gate, which converges from there
  double blur_m = 0.06;            ///< standard deviation of the likelihood around a reference point: about a cell
  double heading_step_rad = 0.02;  ///< 1 degree: 10 cm at 5 m, so half of it is a cell there
  /// Mean likelihood, 0..1, below which the search gives up: a third of the points lie where walls are. By hand, on
  /// simulated homes whose numbers were not kept.
  double min_score = 0.3;
  double widest_window_m = 3.0;  ///< half of the widest window that will be searched: coarser levels are not made
};

struct CorrelativeMatch {
  Pose2 pose;          ///< of the scan in the reference's frame
  double score = 0.0;  ///< mean likelihood of its points, 0..1
};

/// A search over the whole reference rather than a window. All by hand, on simulated homes whose numbers were not kept.
struct PeakOptions {
  double min_score = 0.35;       ///< mean likelihood below which nothing is a peak
  double of_best = 0.7;          ///< peaks lower than this part of the highest are left out
  std::size_t most = 60;         ///< and those beyond this number, the highest first: it bounds the time
  double apart_m = 0.45;         ///< a place nearer than this to a higher one,
  double apart_rad = 0.2;        ///< and turned by less against it, belongs to that one's peak
  double widest_block_m = 0.45;  ///< where the search begins: larger blocks of places hardly exclude anything
};

/// A raster of likelihoods with its coarser levels.
class LikelihoodRaster {
 public:
  LikelihoodRaster(const std::vector<Eigen::Vector2d>& reference, const CorrelativeOptions& options);

  /// The best pose of `points` within the window around `predicted`; nullopt where no pose reaches min_score.
  std::optional<CorrelativeMatch> search(const std::vector<Eigen::Vector2d>& points, const Pose2& predicted,
                                         const SearchWindow& window) const;

  /// The poses in which `points` fit best, the highest score first, over all `headings_rad` and the squares of a few
  /// decimetres that hold one of `places` (where the points' origin may lie, metres). No higher peak is passed over.
  std::vector<CorrelativeMatch> peaks(const std::vector<Eigen::Vector2d>& points,
                                      const std::vector<double>& headings_rad,
                                      const std::vector<Eigen::Vector2d>& places, const PeakOptions& options) const;

 private:
  struct Level {
    std::vector<unsigned char> cells;
  };
  struct Slice;
  Slice slice(const std::vector<Eigen::Vector2d>& points, const Pose2& turned) const;
  std::vector<unsigned char> likelihoods_by_square(int reach) const;
  int top_level(double half_window_m) const;
  double score(const Slice& slice, int level, int dx, int dy) const;

  CorrelativeOptions options_;
  int columns_ = 0, rows_ = 0;
  Eigen::Vector2d corner_m_ = Eigen::Vector2d::Zero();
  std::vector<Level> levels_;
};

}  // namespace wainscot
