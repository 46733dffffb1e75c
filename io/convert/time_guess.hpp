#pragma once

// Which column of a kind of records is the time, and in which unit.

#include <string>
#include <vector>

#include "io/convert/log_sample.hpp"

namespace wainscot {

struct TimeGuess {
  std::size_t column = 0;  ///< index into RecordKind::columns
  std::string unit;        ///< s, ms, us or ns
  double unit_s = 1.0;
  double rows_per_s = 0.0;               ///< records a second, by the median of what each kind of step takes
  bool sure = false;                     ///< no other unit fits
  bool counts_rows = false;              ///< each record is 1 more than the one before: a number rather than a time
  std::vector<std::string> other_units;  ///< that fit as well
  std::string why;                       ///< a plain sentence with figures
};

/// Columns that grow through the whole log, the likeliest first. A unit has to give between `slowest_hz` and
/// `fastest_hz` records a second; a time since 1970 tells its unit by itself. Of these units the one nearest to
/// `usual_hz` is taken.
std::vector<TimeGuess> guess_times(const RecordKind& kind, double slowest_hz, double fastest_hz, double usual_hz);

/// The seconds of a kind's records by a guess; where a record has none, those of the one before. A clock that begins
/// anew, as that of a board that restarts, goes on from where it was.
std::vector<double> times_s(const RecordKind& kind, const TimeGuess& time);

}  // namespace wainscot
