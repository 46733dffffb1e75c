#pragma once

// A table as text: comma-separated cells, one row a line, a header row that names the columns (io/FORMATS.md).
//
//   FileReader file("drive/gyro.csv");
//   std::vector<std::string> warnings;
//   CsvReader table(file, UnfinishedRow::drop, warnings);
//   const auto columns = table.find_columns({"time_s", "yaw_rate_rad_s"}, {});
//   while (table.next_row()) use(table.time(columns[0]), table.number(columns[1]));

#include <cstdint>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/files/file_reader.hpp"

namespace wainscot {

/// What to do with a last row that has no line end. A robot's log was cut there when the plug was pulled, and a number
/// that was cut cannot be told from a whole one; a person who writes a table by hand often leaves the line end out.
enum class UnfinishedRow { drop, keep };

class CsvReader {
 public:
  /// Position of a column that is not in the file.
  static constexpr std::size_t kAbsent = std::numeric_limits<std::size_t>::max();

  /// Reads the header row. Comments (`#` lines) and blank lines are skipped everywhere. What is dropped is said in
  /// `warnings`. Throws `InputError` where there is no header row. `file` and `warnings` must outlive the reader.
  CsvReader(FileReader& file, UnfinishedRow unfinished, std::vector<std::string>& warnings);

  /// The header's cells.
  const std::vector<std::string>& columns() const { return columns_; }

  /// The positions of the wanted columns in a row, first the required ones, then the optional ones (kAbsent where not
  /// there). Throws `InputError` for a column that is missing, unknown or there twice.
  std::vector<std::size_t> find_columns(const std::vector<std::string>& required,
                                        const std::vector<std::string>& optional) const;

  /// Goes to the next row; false after the last one. Throws `InputError` for a row with more or fewer cells than the
  /// header, and for a file without any row.
  bool next_row();

  /// The same for a table of a time and then ranges, as `scans.csv` is: reads the ranges (`read_range`) while it looks
  /// for the commas, since that is where the time of reading a drive goes. Only cell 0 is among `cells()` then. Throws
  /// `InputError` also for a cell that is no range.
  bool next_row_of_ranges(std::vector<double>& ranges);

  /// The cells of the row, without the spaces around them; valid until the next call of `next_row`.
  std::span<const std::string_view> cells() const { return cells_; }

  /// A finite number. Throws `InputError`.
  double number(std::size_t column) const;

  /// A finite number of at most the given magnitude; anything beyond is said to be no possible value. Throws
  /// `InputError`.
  double number_within(std::size_t column, double largest_magnitude) const;

  /// A whole number. Throws `InputError`.
  std::int64_t whole_number(std::size_t column) const;

  /// A name: UTF-8, not empty. Throws `InputError`.
  std::string name(std::size_t column) const;

  /// A time in seconds that is not less than the row before's. Throws `InputError`. Call once a row.
  double time(std::size_t column);

  /// The next row's time may be any: another drive's rows begin there.
  void begin_times_anew() { last_time_s_ = -std::numeric_limits<double>::infinity(); }

  /// Throws `InputError` with file, line and the column's name: "FILE:LINE: time_s <what>".
  [[noreturn]] void fail(std::size_t column, const std::string& what) const;

  FileReader& file() const { return file_; }

 private:
  bool next_text_line(std::string_view& line);
  bool next_row_line(std::string_view& line);
  [[noreturn]] void fail_cell_count(std::size_t cells) const;
  double odd_range(std::size_t column, std::string_view cell) const;
  void split(std::string_view line);
  void check_header() const;

  FileReader& file_;
  UnfinishedRow unfinished_;
  std::vector<std::string>& warnings_;
  std::vector<std::string> columns_;
  std::vector<std::string_view> cells_;
  std::size_t rows_ = 0;
  double last_time_s_ = -std::numeric_limits<double>::infinity();
};

}  // namespace wainscot
