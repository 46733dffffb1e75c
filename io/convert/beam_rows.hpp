#pragma once

// Records that are single beams: the column that runs round and round, and where each turn begins.

#include <cstddef>
#include <vector>

#include "io/convert/log_sample.hpp"

namespace wainscot {

struct BeamAngleColumn {
  std::size_t column = 0;           ///< index into RecordKind::columns
  bool numbered = false;            ///< 0, 1, 2, ...: the beam's number
  double first_number = 0.0;        ///< of numbers, 0 or 1
  bool degrees = true;              ///< else radians
  std::vector<std::size_t> starts;  ///< the first record of each turn, the first one included
  std::size_t per_turn = 0;         ///< beams of a turn; of numbers the largest and one more
};

/// Columns that step on and on in one direction by about the same and leap back by what they came.
std::vector<BeamAngleColumn> beam_angle_columns(const RecordKind& kind);

}  // namespace wainscot
