#include "io/map/row_reader.hpp"

#include <limits>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

namespace wainscot {
namespace {

// As in a drive's own files. Anything beyond, and NaN, was written by something else.
constexpr double kFarthestM = 1e8;
constexpr double kLargestTimeS = 1e11;
constexpr double kLargestHeadingRad = 1e6;

}  // namespace

RowReader::RowReader(const SQLite::Database& database, const std::string& query) : statement_(database, query) {
  bytes_left_ = 1;
  for (const char* pragma : {"PRAGMA page_count", "PRAGMA page_size"}) {
    SQLite::Statement size(database, pragma);
    if (size.executeStep()) bytes_left_ *= size.getColumn(0).getInt64();
  }
}

bool RowReader::next() {
  // Of a row: its length, its number, its header's length, and where in the page it begins.
  constexpr std::int64_t kLeastBytes = 5;
  column_ = 0;
  ++row_;
  if (!statement_.executeStep()) return false;
  take(kLeastBytes);
  return true;
}

void RowReader::take(std::int64_t bytes) {
  bytes_left_ -= bytes;
  if (bytes_left_ >= 0) return;
  throw std::out_of_range(fmt::format("row {} of {} no longer fits into the file", row_, table()));
}

double RowReader::number() {
  const SQLite::Column column = statement_.getColumn(column_++);
  if (column.isNull()) return std::numeric_limits<double>::quiet_NaN();
  if (!column.isFloat() && !column.isInteger()) fail(column.getName(), "is no number");
  return column.getDouble();
}

double RowReader::number_within(double least, double largest) {
  const double value = number();
  if (!(value >= least && value <= largest)) {
    fail(statement_.getColumn(column_ - 1).getName(), fmt::format("is {:.3g}", value));
  }
  return value;
}

double RowReader::time_s() { return number_within(-kLargestTimeS, kLargestTimeS); }
double RowReader::metres() { return number_within(-kFarthestM, kFarthestM); }
double RowReader::heading_rad() { return number_within(-kLargestHeadingRad, kLargestHeadingRad); }

std::optional<double> RowReader::optional_heading_rad() {
  if (statement_.getColumn(column_).isNull()) return ++column_, std::nullopt;
  return heading_rad();
}

std::string RowReader::text() {
  const SQLite::Column column = statement_.getColumn(column_++);
  take(column.getBytes());
  return column.getString();
}

std::span<const std::uint8_t> RowReader::blob() {
  const SQLite::Column column = statement_.getColumn(column_++);
  take(column.getBytes());
  return {static_cast<const std::uint8_t*>(column.getBlob()), static_cast<std::size_t>(column.getBytes())};
}

Pose2 RowReader::pose() {
  const double x_m = metres();
  const double y_m = metres();
  return {x_m, y_m, heading_rad()};
}

Eigen::Matrix3d RowReader::symmetric() {
  constexpr double kLargest = 1e30;
  Eigen::Matrix3d matrix;
  for (const auto& [row, column] : {std::pair{0, 0}, {0, 1}, {1, 1}, {0, 2}, {1, 2}, {2, 2}}) {
    matrix(row, column) = matrix(column, row) = number_within(row == column ? 0.0 : -kLargest, kLargest);
  }
  return matrix;
}

std::size_t RowReader::index(std::size_t size) {
  const std::int64_t value = whole();
  if (value < 0 || static_cast<std::uint64_t>(value) >= size) {
    throw std::out_of_range(fmt::format("a row speaks of number {} of {}", value, size));
  }
  return static_cast<std::size_t>(value);
}

std::size_t RowReader::drive(std::size_t drives) {
  const std::size_t number = index(drives + 1);
  if (number == 0) throw std::out_of_range("a row speaks of drive 0");
  return number - 1;
}

std::string RowReader::table() const {
  const std::string& query = statement_.getQuery();
  const std::size_t table = query.find(" FROM ") + 6;
  return query.substr(table, query.find(' ', table) - table);
}

void RowReader::fail(const std::string& column, const std::string& what) const {
  throw std::out_of_range(fmt::format("row {} of {}: {} {}", row_, table(), column, what));
}

}  // namespace wainscot
