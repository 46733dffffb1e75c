#include "io/rooms/floor_basins.hpp"

#include <algorithm>
#include <cmath>
#include <deque>
#include <set>
#include <utility>

namespace wainscot {
namespace {

constexpr std::int32_t kDry = -1;

/// Half a cell a level: finer steps are those of the raster.
int level_of(float clearance) { return static_cast<int>(std::lround(2.0F * clearance)); }

/// The cells that are to be flooded, the widest level first, by number in a level.
std::vector<std::vector<std::size_t>> by_level(const OpenFloor& floor, const std::vector<bool>& taken) {
  std::vector<std::vector<std::size_t>> levels;
  for (std::size_t cell = 0; cell < floor.open.size(); ++cell) {
    if (!floor.open[cell] || taken[cell]) continue;
    const auto level = static_cast<std::size_t>(level_of(floor.clearance[cell]));
    if (level >= levels.size()) levels.resize(level + 1);
    levels[level].push_back(cell);
  }
  std::reverse(levels.begin(), levels.end());
  return levels;
}

class Immersion {
 public:
  Immersion(const OpenFloor& floor, const std::vector<bool>& taken)
      : floor_(floor), taken_(taken), queued_(floor.open.size(), false) {
    basins_.of_cell.assign(floor.open.size(), kDry);
  }

  FloorBasins run() {
    for (const std::vector<std::size_t>& cells : by_level(floor_, taken_)) {
      spread(cells);
      for (const std::size_t cell : cells) {
        if (basins_.of_cell[cell] == kDry) begin_basin(cell);
      }
    }
    finish();
    return std::move(basins_);
  }

 private:
  /// From the basins that are there, ring by ring, so that two that meet in a long passage meet in its middle.
  void spread(const std::vector<std::size_t>& cells) {
    const int level = cells.empty() ? 0 : level_of(floor_.clearance[cells.front()]);
    std::deque<std::size_t> queue;
    for (const std::size_t cell : cells) {
      bool beside = false;
      for_each_neighbour(floor_.frame, cell, [&](std::size_t near) { beside |= basins_.of_cell[near] != kDry; });
      if (beside) enqueue(cell, queue);
    }
    while (!queue.empty()) {
      const std::size_t cell = queue.front();
      queue.pop_front();
      join(cell);
      for_each_neighbour(floor_.frame, cell, [&](std::size_t near) {
        if (is_dry_at(near, level)) enqueue(near, queue);
      });
    }
  }

  void enqueue(std::size_t cell, std::deque<std::size_t>& queue) {
    queued_[cell] = true;
    queue.push_back(cell);
  }

  bool is_dry_at(std::size_t cell, int level) const {
    return floor_.open[cell] && !taken_[cell] && !queued_[cell] && basins_.of_cell[cell] == kDry &&
           level_of(floor_.clearance[cell]) == level;
  }

  /// To the basin of the widest neighbour; the other neighbours' basins meet it here.
  void join(std::size_t cell) {
    std::size_t widest = cell;
    for_each_neighbour(floor_.frame, cell, [&](std::size_t near) {
      if (basins_.of_cell[near] == kDry) return;
      if (widest == cell || floor_.clearance[near] > floor_.clearance[widest]) widest = near;
    });
    basins_.of_cell[cell] = root_of(basins_.of_cell[widest]);
    for_each_neighbour(floor_.frame, cell, [&](std::size_t near) {
      if (basins_.of_cell[near] != kDry) meet(cell, root_of(basins_.of_cell[near]));
    });
  }

  void meet(std::size_t cell, std::int32_t other) {
    constexpr float kLeastRise = 1.0F;  // a cell: less is the raster's own roughness
    std::int32_t mine = root_of(basins_.of_cell[cell]);
    if (mine == other) return;
    if (peak_[index(mine)] < peak_[index(other)]) std::swap(mine, other);
    if (peak_[index(other)] - floor_.clearance[cell] < kLeastRise) {
      parent_[index(other)] = mine;
    } else if (met_.insert({std::min(mine, other), std::max(mine, other)}).second) {
      basins_.passes.push_back({mine, other, cell, floor_.clearance[cell]});
    }
  }

  void begin_basin(std::size_t first) {
    const auto basin = static_cast<std::int32_t>(parent_.size());
    parent_.push_back(basin);
    peak_.push_back(floor_.clearance[first]);
    const int level = level_of(floor_.clearance[first]);
    std::deque<std::size_t> queue;
    enqueue(first, queue);
    while (!queue.empty()) {
      const std::size_t cell = queue.front();
      queue.pop_front();
      basins_.of_cell[cell] = basin;
      for_each_neighbour(floor_.frame, cell, [&](std::size_t near) {
        if (is_dry_at(near, level)) enqueue(near, queue);
      });
    }
  }

  /// Numbers without gaps, in the order in which the basins began.
  void finish() {
    std::vector<std::int32_t> number(parent_.size(), kDry);
    for (std::size_t i = 0; i < parent_.size(); ++i) {
      if (root_of(static_cast<std::int32_t>(i)) == static_cast<std::int32_t>(i)) number[i] = basins_.count++;
    }
    for (std::int32_t& basin : basins_.of_cell) {
      if (basin != kDry) basin = number[index(root_of(basin))];
    }
    for (FloorPass& pass : basins_.passes) {
      pass.a = number[index(root_of(pass.a))];
      pass.b = number[index(root_of(pass.b))];
    }
    std::erase_if(basins_.passes, [](const FloorPass& pass) { return pass.a == pass.b; });
    std::stable_sort(basins_.passes.begin(), basins_.passes.end(),
                     [](const FloorPass& a, const FloorPass& b) { return a.clearance > b.clearance; });
  }

  std::int32_t root_of(std::int32_t basin) {
    while (parent_[index(basin)] != basin) {
      parent_[index(basin)] = parent_[index(parent_[index(basin)])];
      basin = parent_[index(basin)];
    }
    return basin;
  }

  static std::size_t index(std::int32_t basin) { return static_cast<std::size_t>(basin); }

  const OpenFloor& floor_;
  const std::vector<bool>& taken_;
  std::vector<bool> queued_;
  std::vector<std::int32_t> parent_;  ///< of a basin, the one that it became part of
  std::vector<float> peak_;
  std::set<std::pair<std::int32_t, std::int32_t>> met_;
  FloorBasins basins_;
};

}  // namespace

FloorBasins floor_basins(const OpenFloor& floor, const std::vector<bool>& taken) {
  return Immersion(floor, taken).run();
}

}  // namespace wainscot
