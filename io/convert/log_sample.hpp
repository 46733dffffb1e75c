#pragma once

// A bounded sample of robots' own logs, cut into kinds of records with their columns of numbers: what guesses are made
// from.

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "io/convert/log_columns.hpp"

namespace wainscot {

/// A value of each record of a kind.
struct SampleColumn {
  std::string name;            ///< as `Quantity::column` names it
  std::string label;           ///< what a person called it; empty where the log does not say
  std::vector<double> values;  ///< one a record; NaN where there is no number
  bool is_clock = false;       ///< times of day, in seconds
};

/// Many values of one sort in each record: an array in JSON, columns beside each other in a table.
struct SampleArray {
  std::string name;                       ///< JSON: the path; a table: the first column's name
  std::string last_name;                  ///< a table: the last column's name
  bool to_the_end = false;                ///< a table: the last column is the row's last
  std::vector<std::string> labels;        ///< a table: what the columns are called; may be empty
  std::vector<std::vector<double>> rows;  ///< one a record; NaN where there is no number
};

/// Records that hold the same values.
struct RecordKind {
  RecordChoice choice;
  std::size_t records = 0;
  std::vector<SampleColumn> columns;
  std::vector<SampleArray> arrays;
};

struct SampledFile {
  LogFile file;
  std::vector<RecordKind> kinds;  ///< the most frequent first
};

struct LogSample {
  std::vector<SampledFile> files;
};

struct LogSampleOptions {
  /// Of each file's text. A lidar of 360 beams seven times a second writes 1 MB a minute, one of 3,600 beams ten times
  /// a second ten: the drive has begun to turn by then.
  std::size_t most_bytes = 24'000'000;
};

/// Reads the beginning of each log. `names[i]`: what `LogFile::name` is to be for `paths[i]`. Throws `InputError` for a
/// file that cannot be read or holds no rows of numbers.
LogSample read_log_sample(const std::vector<std::filesystem::path>& paths, const std::vector<std::string>& names,
                          const LogSampleOptions& options = {});

}  // namespace wainscot
