#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>

#include <SQLiteCpp/SQLiteCpp.h>
#include <Eigen/Core>

#include "core/pose2.hpp"

namespace wainscot {

/// The rows of a query on graph.sqlite, whose columns are taken one after the other, each with the function that says
/// what may stand there. All throw std::out_of_range for a cell that cannot be; for numbers it names row and table. So
/// does `next` where the rows would not fit into the database's file: damaged pages can lead back to one another, and
/// give rows without end.
class RowReader {
 public:
  /// `query`: "SELECT ... FROM table ...", with a word behind the table.
  RowReader(const SQLite::Database& database, const std::string& query);

  /// Goes to the next row; false behind the last.
  bool next();

  /// NaN for NULL, as the writer stores it.
  double number();
  /// A number from `least` to `largest`.
  double number_within(double least, double largest);
  double time_s();
  double metres();
  double heading_rad();
  std::optional<double> optional_heading_rad();
  std::int64_t whole() { return statement_.getColumn(column_++).getInt64(); }
  bool flag() { return whole() != 0; }
  std::string text();
  /// Good until `next`.
  std::span<const std::uint8_t> blob();
  Pose2 pose();
  /// A covariance or an information matrix.
  Eigen::Matrix3d symmetric();
  /// A number that counts something of which there are `size`, from 0.
  std::size_t index(std::size_t size);
  /// A drive's number, counted from 0.
  std::size_t drive(std::size_t drives);

 private:
  [[noreturn]] void fail(const std::string& column, const std::string& what) const;
  std::string table() const;
  void take(std::int64_t bytes);

  SQLite::Statement statement_;
  std::int64_t bytes_left_ = 0;  ///< of the file, beside the rows that were read
  int column_ = 0;
  int row_ = 0;
};

}  // namespace wainscot
