#pragma once

// The records of one log (log_columns.hpp): what its lines hold, by the columns that are asked for.

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/convert/json_line.hpp"
#include "io/convert/log_columns.hpp"
#include "io/convert/log_lines.hpp"
#include "io/convert/log_number.hpp"
#include "io/number_reader.hpp"

namespace wainscot {

class RecordReader {
 public:
  /// `columns` are those that will be asked for. Reads the header row of a table that has one. Throws `InputError`
  /// where there is none, and where it lacks a column: names that one, the nearest, and columns.yaml. A column may also
  /// be named by its number, from 1. `lines` must outlive the reader.
  RecordReader(const LogFile& file, std::vector<std::string> columns, LogLines& lines);

  enum class Step { record, damaged, end };

  /// The next line that is no comment, not blank and no header once more. `damaged`: of a line that should be JSON and
  /// is not. Throws `InputError` as `LogLines::next` does.
  Step next();

  /// The place of a column that the reader was made with, for the functions below.
  std::size_t place(const std::string& column) const;

  /// Whether the record has a value there that is not empty.
  bool has(std::size_t place) const;
  /// The value as it stands in the log; empty where it is a list or is not there.
  std::string_view text(std::size_t place) const;
  /// The value as a number; NaN where it is there and empty, null, nan or inf. False: it is not there, or no number.
  bool number(std::size_t place, double& value) const {
    if (json_) return json_number(place, value);
    const std::size_t position = positions_[place];
    if (position >= cells_.size()) return false;
    // Here since nearly all are short decimals, three of them for each beam.
    const std::string_view text = cells_[position];
    const char* const end = text.data() + text.size();
    double read = 0.0;
    if (read_short_decimal(text.data(), end, read) != end || text.empty()) {
      return read_log_number(text, file_.separator, value);
    }
    value = read;
    return true;
  }

  /// Of a table: the line's cells from `first`'s column to `last`'s, or to the end of the line.
  std::span<const std::string_view> cells(std::size_t first, std::optional<std::size_t> last) const;
  /// Of JSON: a list of numbers; nullptr: there is none.
  const std::vector<double>* list(std::size_t place) const;

  bool is_json() const { return json_.has_value(); }
  Separator separator() const { return file_.separator; }
  LogLines& lines() const { return lines_; }
  std::size_t headers() const { return headers_; }  ///< that stood among the rows once more

 private:
  void read_header();
  bool take_header(std::vector<std::string>& missing);
  bool json_number(std::size_t place, double& value) const;
  std::string_view cell(std::size_t place) const {
    const std::size_t position = positions_[place];
    return position < cells_.size() ? cells_[position] : std::string_view{};
  }

  LogFile file_;
  std::vector<std::string> columns_;
  std::vector<std::size_t> positions_;  ///< of the columns in a table's line
  LogLines& lines_;
  std::optional<JsonLine> json_;
  std::vector<std::string_view> cells_;
  std::string header_;
  std::size_t headers_ = 0;
};

}  // namespace wainscot
