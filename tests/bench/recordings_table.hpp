#pragma once

// What the bench of recordings found, as tables for people and as one for machines.

#include <optional>
#include <string>
#include <vector>

#include "tests/bench/figure_table.hpp"
#include "tests/bench/pair_score.hpp"
#include "tests/bench/recorded_drive.hpp"
#include "tests/bench/wall_alignment.hpp"

namespace wainscot::bench {

struct ScoredDrive {
  std::string name;
  std::string failure;  ///< why there is no map or no score; then nothing else is filled
  MappedDrive mapped;   ///< without the map but for its quality
  std::size_t closures = 0;
  std::optional<WallAlignment> walls;
};

struct ScoredPair {
  std::string first;
  std::string second;
  std::string failure;  ///< which of them has no score; then nothing else is filled
  LocatedDrive second_in_first;
  LocatedDrive first_in_second;
  ExtendedDrive extended;
};

/// Several tables, each with a title and a header that states units; only those that have rows.
std::string tables(const std::vector<ScoredDrive>& drives, const std::vector<ScoredPair>& pairs);

/// All figures: a row a drive, then a row a direction of each pair.
FigureTable figures(const std::vector<ScoredDrive>& drives, const std::vector<ScoredPair>& pairs);

}  // namespace wainscot::bench
