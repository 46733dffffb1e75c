#include "core/face_gathering.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "core/log_odds.hpp"

namespace wainscot {
namespace {

constexpr float kNeverCrossed = std::numeric_limits<float>::quiet_NaN();

std::size_t index(const GridFrame& frame, std::int32_t column, std::int32_t row) {
  return static_cast<std::size_t>(row) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(column);
}

/// Whether the hits around a cell lie along x rather than along y.
bool wall_runs_along_x(const CellVotes& votes, std::size_t cell, std::int32_t reach) {
  const auto column = static_cast<std::int32_t>(cell % static_cast<std::size_t>(votes.frame.columns));
  const auto row = static_cast<std::int32_t>(cell / static_cast<std::size_t>(votes.frame.columns));
  double count = 0.0;
  Eigen::Array2d sum = Eigen::Array2d::Zero();
  Eigen::Array2d squares = Eigen::Array2d::Zero();
  for (std::int32_t r = std::max(row - reach, 0); r <= std::min(row + reach, votes.frame.rows - 1); ++r) {
    for (std::int32_t c = std::max(column - reach, 0); c <= std::min(column + reach, votes.frame.columns - 1); ++c) {
      const double weight = votes.hits[index(votes.frame, c, r)].scans;
      const Eigen::Array2d place(c - column, r - row);
      count += weight;
      sum += weight * place;
      squares += weight * place.square();
    }
  }
  const Eigen::Array2d spread = squares - sum.square() / std::max(count, 1.0);
  return spread.x() >= spread.y();
}

using FaceScores = CellValues<std::uint32_t, 16>;

/// How much of a face a cell is: its hits, and those around it, which tell where hits are few.
FaceScores face_scores(const CellVotes& votes) {
  FaceScores scores(votes.hits.size(), 0);
  const auto columns = static_cast<std::size_t>(votes.frame.columns);
  votes.hits.for_each_touched([&](std::size_t cell, const HitVotes& hits) {
    if (hits.scans == 0) return;
    const auto column = static_cast<std::int32_t>(cell % columns);
    const auto row = static_cast<std::int32_t>(cell / columns);
    std::uint32_t score = hits.scans;
    for (std::int32_t r = std::max(row - 1, 0); r <= std::min(row + 1, votes.frame.rows - 1); ++r) {
      for (std::int32_t c = std::max(column - 1, 0); c <= std::min(column + 1, votes.frame.columns - 1); ++c) {
        score += votes.hits[index(votes.frame, c, r)].scans;
      }
    }
    scores[cell] = score;
  });
  return scores;
}

/// The cells across the wall whose hits are noise of the face in `cell`: of lower score, and seen from the same side,
/// so that the two faces of a thin wall stay apart. Beyond the next cell only the noise's tail is taken, no second
/// surface.
std::vector<std::size_t> noise_across(const CellVotes& votes, std::size_t cell, std::int32_t reach,
                                      const FaceScores& scores) {
  const bool along_x = wall_runs_along_x(votes, cell, std::max(reach, 2));
  const auto columns = static_cast<std::int64_t>(votes.frame.columns);
  const auto here = static_cast<std::int64_t>(cell);
  const std::int64_t place = along_x ? here / columns : here % columns;
  const std::int64_t size = along_x ? votes.frame.rows : columns;
  const std::int64_t stride = along_x ? columns : 1;
  std::vector<std::size_t> result;
  for (std::int64_t step = -reach; step <= reach; ++step) {
    if (step == 0 || place + step < 0 || place + step >= size) {
      continue;
    }
    const auto other = static_cast<std::size_t>(here + step * stride);
    const HitVotes& hits = votes.hits[other];
    const bool is_noise = std::abs(step) == 1 || hits.scans <= std::max(votes.hits[cell].scans / 4, 1U);
    const bool same_side = votes.hits[cell].direction.dot(hits.direction) > 0.0F;
    if (hits.scans > 0 && scores[other] <= scores[cell] && is_noise && same_side) {
      result.push_back(other);
    }
  }
  return result;
}

}  // namespace

void gather_faces(const CellVotes& votes, const RasteriserOptions& options, OccupancyGrid& grid) {
  const FaceScores scores = face_scores(votes);
  std::vector<std::size_t> ranked;
  votes.hits.for_each_touched([&](std::size_t cell, const HitVotes& hits) {
    if (hits.scans > 0) ranked.push_back(cell);
  });
  std::stable_sort(ranked.begin(), ranked.end(), [&](std::size_t a, std::size_t b) { return scores[a] > scores[b]; });
  // Three standard deviations, measured along an axis where the wall runs at 45 degrees.
  const double tail_m = 3.0 * std::numbers::sqrt2 * options.found_range_noise_m;
  const auto reach = static_cast<std::int32_t>(std::ceil(tail_m / votes.frame.cell_size_m));
  std::vector<bool> settled(votes.hits.size(), false);
  for (const std::size_t cell : ranked) {
    if (settled[cell]) {
      continue;
    }
    std::vector<std::size_t> claimed = noise_across(votes, cell, reach, scores);
    std::erase_if(claimed, [&](std::size_t other) { return settled[other]; });
    // What one scan more would say is all that the neighbours' hits may add: they tell of this face, not of this cell.
    const double gained = claimed.empty() ? 0.0 : options.hit_log_odds;
    const double log_odds = std::min(votes.visits[cell].log_odds + gained, options.total_limit_log_odds);
    if (log_odds <= 0.0) {
      continue;
    }
    settled[cell] = true;
    grid.probability[cell] = probability_of(log_odds);
    for (const std::size_t other : claimed) {
      settled[other] = true;
      grid.probability[other] =
          votes.visits[other].crossed != 0 ? probability_of(options.prior_log_odds) : kNeverCrossed;
    }
  }
}

}  // namespace wainscot
