#include "scanmatch/correlative.hpp"

#include <algorithm>
#include <climits>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <queue>
#include <set>
#include <utility>

namespace wainscot {
namespace {

constexpr int kLevels = 6;  // the coarsest cell is 32 fine ones: 1.6 m
// A coarse cell that begins outside of the raster still reaches into it.
constexpr int kMarginCells = 1 << (kLevels - 1);
// Of a tabulated square of a distance, for each square cell: half a step changes a likelihood by 1.1 % (cell^2 /
// (2 * 16 * 2 * blur^2), of the defaults), which no score shows.
constexpr int kSquareSteps = 16;

struct Candidate {
  double score;
  int level;
  std::size_t slice;
  int dx, dy;
  /// Best score first; ties by place, so that the order does not depend on the queue.
  bool operator<(const Candidate& other) const {
    if (score != other.score) return score < other.score;
    if (level != other.level) return level > other.level;
    if (slice != other.slice) return slice > other.slice;
    return dx != other.dx ? dx > other.dx : dy > other.dy;
  }
};

}  // namespace

/// The points turned to one heading, in cells.
struct LikelihoodRaster::Slice {
  double heading_rad;
  std::vector<Eigen::Vector2i> cells;
  Eigen::Vector2i low = Eigen::Vector2i::Constant(INT_MAX);  ///< of the cells
  Eigen::Vector2i high = Eigen::Vector2i::Constant(INT_MIN);
};

LikelihoodRaster::LikelihoodRaster(const std::vector<Eigen::Vector2d>& reference, const CorrelativeOptions& options)
    : options_(options) {
  if (reference.empty()) return;
  Eigen::Vector2d low = reference.front();
  Eigen::Vector2d high = reference.front();
  for (const Eigen::Vector2d& p : reference) {
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  corner_m_ = low - Eigen::Vector2d::Constant(kMarginCells * options_.cell_m);
  columns_ = static_cast<int>((high.x() - low.x()) / options_.cell_m) + 2 * kMarginCells + 1;
  rows_ = static_cast<int>((high.y() - low.y()) / options_.cell_m) + 2 * kMarginCells + 1;
  levels_.resize(static_cast<std::size_t>(top_level(options_.widest_window_m)) + 1);
  for (Level& level : levels_) level.cells.assign(static_cast<std::size_t>(columns_ * rows_), 0);

  constexpr double kReachSd = 2.5;  // where the likelihood is 0.04
  const int reach = static_cast<int>(std::ceil(kReachSd * options_.blur_m / options_.cell_m));
  const std::vector<unsigned char> likelihoods = likelihoods_by_square(reach);
  const auto at = [this](int column, int row) { return static_cast<std::size_t>(row * columns_ + column); };
  for (const Eigen::Vector2d& p : reference) {
    const Eigen::Vector2d in_cells = (p - corner_m_) / options_.cell_m;
    const int column = static_cast<int>(in_cells.x());
    const int row = static_cast<int>(in_cells.y());
    for (int r = row - reach; r <= row + reach; ++r) {
      for (int c = column - reach; c <= column + reach; ++c) {
        const double square = (Eigen::Vector2d(c + 0.5, r + 0.5) - in_cells).squaredNorm();
        unsigned char& cell = levels_[0].cells[at(c, r)];
        cell = std::max(cell, likelihoods[static_cast<std::size_t>(kSquareSteps * square)]);
      }
    }
  }
  // Level k at (c, r): the maximum of level 0 over c .. c + 2^k - 1, r .. r + 2^k - 1.
  for (int k = 1; k < static_cast<int>(levels_.size()); ++k) {
    const int half = 1 << (k - 1);
    const std::vector<unsigned char>& finer = levels_[static_cast<std::size_t>(k) - 1].cells;
    for (int r = 0; r < rows_; ++r) {
      for (int c = 0; c < columns_; ++c) {
        const int c2 = std::min(c + half, columns_ - 1);
        const int r2 = std::min(r + half, rows_ - 1);
        levels_[static_cast<std::size_t>(k)].cells[at(c, r)] =
            std::max(std::max(finer[at(c, r)], finer[at(c2, r)]), std::max(finer[at(c, r2)], finer[at(c2, r2)]));
      }
    }
  }
}

/// 255 times the likelihood, by kSquareSteps times the square of the distance in cells, as far as `reach` cells across.
std::vector<unsigned char> LikelihoodRaster::likelihoods_by_square(int reach) const {
  std::vector<unsigned char> result(static_cast<std::size_t>(2 * kSquareSteps * (reach + 1) * (reach + 1)) + 1);
  for (std::size_t i = 0; i < result.size(); ++i) {
    const double distance_m = options_.cell_m * std::sqrt((static_cast<double>(i) + 0.5) / kSquareSteps);
    result[i] = static_cast<unsigned char>(255.0 * std::exp(-0.5 * std::pow(distance_m / options_.blur_m, 2)));
  }
  return result;
}

/// The coarsest level that a window of this half size can use.
int LikelihoodRaster::top_level(double half_window_m) const {
  const int half = static_cast<int>(std::ceil(half_window_m / options_.cell_m));
  int top = 0;
  while (top + 1 < kLevels && (2 << top) <= half) ++top;
  return top;
}

double LikelihoodRaster::score(const Slice& slice, int level, int dx, int dy) const {
  const std::vector<unsigned char>& raster = levels_[static_cast<std::size_t>(level)].cells;
  const std::vector<Eigen::Vector2i>& cells = slice.cells;
  // A coarse cell that begins left of or below the raster may still reach into it: there the bound is taken at the
  // edge.
  const int reach = (1 << level) - 1;
  std::int64_t sum = 0;
  const bool inside = slice.low.x() + dx >= 0 && slice.low.y() + dy >= 0 && slice.high.x() + dx < columns_ &&
                      slice.high.y() + dy < rows_;
  if (inside) {
    const int shift = dy * columns_ + dx;
    for (const Eigen::Vector2i& cell : cells) {
      sum += raster[static_cast<std::size_t>(cell.y() * columns_ + cell.x() + shift)];
    }
    return static_cast<double>(sum) / (255.0 * static_cast<double>(cells.size()));
  }
  for (const Eigen::Vector2i& cell : cells) {
    int column = cell.x() + dx;
    int row = cell.y() + dy;
    if (column < -reach || row < -reach || column >= columns_ || row >= rows_) continue;
    column = std::max(column, 0);
    row = std::max(row, 0);
    sum += raster[static_cast<std::size_t>(row * columns_ + column)];
  }
  return static_cast<double>(sum) / (255.0 * static_cast<double>(cells.size()));
}

LikelihoodRaster::Slice LikelihoodRaster::slice(const std::vector<Eigen::Vector2d>& points, const Pose2& turned) const {
  Slice result;
  result.heading_rad = turned.heading_rad;
  result.cells.reserve(points.size());
  for (const Eigen::Vector2d& p : points) {
    const Eigen::Vector2d in_cells = (turned * p - corner_m_) / options_.cell_m;
    result.cells.emplace_back(static_cast<int>(std::floor(in_cells.x())), static_cast<int>(std::floor(in_cells.y())));
    result.low = result.low.cwiseMin(result.cells.back());
    result.high = result.high.cwiseMax(result.cells.back());
  }
  return result;
}

std::optional<CorrelativeMatch> LikelihoodRaster::search(const std::vector<Eigen::Vector2d>& points,
                                                         const Pose2& predicted, const SearchWindow& window) const {
  if (points.empty() || levels_.empty()) return std::nullopt;
  std::vector<Slice> slices;
  const int turns = static_cast<int>(std::ceil(window.half_heading_rad / options_.heading_step_rad));
  for (int i = -turns; i <= turns; ++i) {
    slices.push_back(
        slice(points, {predicted.x_m, predicted.y_m, predicted.heading_rad + i * options_.heading_step_rad}));
  }
  const int half_x = static_cast<int>(std::ceil(window.half_x_m / options_.cell_m));
  const int half_y = static_cast<int>(std::ceil(window.half_y_m / options_.cell_m));
  const int top = std::min(top_level(std::max(window.half_x_m, window.half_y_m)), static_cast<int>(levels_.size()) - 1);

  std::priority_queue<Candidate> queue;
  const auto push = [&](int level, std::size_t slice, int dx, int dy) {
    const double bound = score(slices[slice], level, dx, dy);
    if (bound >= options_.min_score) queue.push({bound, level, slice, dx, dy});
  };
  for (std::size_t s = 0; s < slices.size(); ++s) {
    for (int dx = -half_x; dx <= half_x; dx += 1 << top) {
      for (int dy = -half_y; dy <= half_y; dy += 1 << top) push(top, s, dx, dy);
    }
  }
  while (!queue.empty()) {
    const Candidate best = queue.top();
    queue.pop();
    if (best.level == 0) {
      return CorrelativeMatch{{predicted.x_m + best.dx * options_.cell_m, predicted.y_m + best.dy * options_.cell_m,
                               slices[best.slice].heading_rad},
                              best.score};
    }
    const int step = 1 << (best.level - 1);
    for (int dx : {best.dx, best.dx + step}) {
      for (int dy : {best.dy, best.dy + step}) {
        if (dx <= half_x && dy <= half_y) push(best.level - 1, best.slice, dx, dy);
      }
    }
  }
  return std::nullopt;
}

namespace {

/// Peaks found so far.
class PeakList {
 public:
  explicit PeakList(const PeakOptions& options) : options_(options) {}

  /// Whether all places of a square with this middle belong to a peak that was found.
  bool covers(const Pose2& middle, double half_diagonal_m) const {
    return std::any_of(peaks_.begin(), peaks_.end(), [&](const CorrelativeMatch& peak) {
      return (peak.pose.translation() - middle.translation()).norm() + half_diagonal_m < options_.apart_m &&
             std::abs(std::remainder(peak.pose.heading_rad - middle.heading_rad, 2.0 * std::numbers::pi)) <
                 options_.apart_rad;
    });
  }
  void add(const CorrelativeMatch& peak) { peaks_.push_back(peak); }
  bool is_over(double bound) const {
    return peaks_.size() >= options_.most || (!peaks_.empty() && bound < options_.of_best * peaks_.front().score);
  }
  double least_score() const {
    return peaks_.empty() ? options_.min_score : std::max(options_.min_score, options_.of_best * peaks_.front().score);
  }
  std::vector<CorrelativeMatch> take() { return std::move(peaks_); }

 private:
  PeakOptions options_;
  std::vector<CorrelativeMatch> peaks_;
};

}  // namespace

std::vector<CorrelativeMatch> LikelihoodRaster::peaks(const std::vector<Eigen::Vector2d>& points,
                                                      const std::vector<double>& headings_rad,
                                                      const std::vector<Eigen::Vector2d>& places,
                                                      const PeakOptions& options) const {
  PeakList found(options);
  if (points.empty() || levels_.empty()) return {};
  int top = 0;
  while (top + 1 < static_cast<int>(levels_.size()) && (2 << top) * options_.cell_m <= options.widest_block_m) ++top;
  const int side = 1 << top;
  std::set<std::pair<int, int>> blocks;
  for (const Eigen::Vector2d& place : places) {
    blocks.emplace(static_cast<int>(std::floor(place.x() / (options_.cell_m * side))),
                   static_cast<int>(std::floor(place.y() / (options_.cell_m * side))));
  }
  std::vector<Slice> slices;
  for (const double heading_rad : headings_rad) slices.push_back(slice(points, {0.0, 0.0, heading_rad}));

  std::priority_queue<Candidate> queue;
  const auto push = [&](int level, std::size_t s, int dx, int dy) {
    const double bound = score(slices[s], level, dx, dy);
    if (bound >= found.least_score()) queue.push({bound, level, s, dx, dy});
  };
  for (std::size_t s = 0; s < slices.size(); ++s) {
    for (const auto& [column, row] : blocks) push(top, s, column * side, row * side);
  }
  for (; !queue.empty() && !found.is_over(queue.top().score);) {
    const Candidate best = queue.top();
    queue.pop();
    const double half_side_m = 0.5 * ((1 << best.level) - 1) * options_.cell_m;
    const Pose2 middle{best.dx * options_.cell_m + half_side_m, best.dy * options_.cell_m + half_side_m,
                       slices[best.slice].heading_rad};
    if (found.covers(middle, half_side_m * std::numbers::sqrt2)) continue;
    if (best.level == 0) {
      found.add({middle, best.score});
      continue;
    }
    const int step = 1 << (best.level - 1);
    for (int dx : {best.dx, best.dx + step}) {
      for (int dy : {best.dy, best.dy + step}) push(best.level - 1, best.slice, dx, dy);
    }
  }
  return found.take();
}

}  // namespace wainscot
