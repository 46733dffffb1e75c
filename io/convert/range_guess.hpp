#pragma once

// Where a log holds what its lidar saw: records that are whole turns, or records that are single beams.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "io/convert/guessed_item.hpp"
#include "io/convert/log_sample.hpp"
#include "io/convert/range_values.hpp"
#include "io/convert/time_guess.hpp"

namespace wainscot {

/// An angle as a log tells it, or as it was found.
struct AngleGuess {
  std::optional<std::size_t> column;  ///< index into RecordKind::columns; nullopt: a constant
  double value = 0.0;                 ///< in `unit`
  std::string unit = "deg";           ///< deg or rad

  double rad() const;
};

struct RangeGuess {
  std::size_t file = 0, kind = 0;  ///< indices into the sample
  TimeGuess time;
  std::optional<std::size_t> array;       ///< of a record that is a turn: index into RecordKind::arrays
  std::optional<std::size_t> angle_list;  ///< beside it: the array of its angles, in the unit of `first`
  std::size_t angle_column = 0;           ///< of a record that is a beam: its angle or its number,
  std::size_t range_column = 0;           ///< and its range
  bool numbered = false;                  ///< the angle's column holds the beam's number
  AngleGuess first;                       ///< of the first range; of a beam's angle the unit only, unless `numbered`
  AngleGuess step;                        ///< from range to range, as the log says it or positive
  bool open = false;                      ///< the turn leaves a part out, so that a robot's lidar has to look ahead
  bool angles_told = false;               ///< the log itself says where its angles begin
  RangeValues values;
  std::vector<GuessedItem> items;  ///< of angles, no return and unit
  double likeness = 0.0;           ///< how much the values are like ranges, more is better
};

/// Everything in the sample that may be a lidar's ranges, the likeliest first. Where a kind holds several arrays or
/// columns that may be, each is one guess.
std::vector<RangeGuess> guess_ranges(const LogSample& sample);

/// The name of an array that is like ranges in records without a time; empty: there is none.
std::string ranges_without_time(const LogSample& sample);

/// The first `most` turns of a guess, with angles as the guess has them and ranges in metres.
std::vector<Scan> sampled_scans(const LogSample& sample, const RangeGuess& guess, std::size_t most);

}  // namespace wainscot
