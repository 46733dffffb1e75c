#include "io/files/csv_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/number_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

// Three thousand years: a time beyond it is in another unit, such as milliseconds since 1970.
constexpr double kLatestTime_s = 1e11;

bool is_blank(char c) { return c == ' ' || c == '\t'; }

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

}  // namespace

CsvReader::CsvReader(FileReader& file, UnfinishedRow unfinished, std::vector<std::string>& warnings)
    : file_(file), unfinished_(unfinished), warnings_(warnings) {
  std::string_view line;
  if (!next_text_line(line)) {
    throw InputError(fmt::format("{}: has no header row; the first line must name the columns", file_.name()));
  }
  split(line);
  columns_.assign(cells_.begin(), cells_.end());
  check_header();
}

void CsvReader::check_header() const {
  const std::string& first = columns_.front();
  if (columns_.size() == 1 && first.find_first_of(";\t") != std::string::npos) {
    file_.fail("the columns are separated by semicolons or tabs; separate them by commas, with decimal points");
  }
  for (const std::string& column : columns_) {
    if (column.find('\r') != std::string::npos) {
      file_.fail("the lines end in a lone CR; save the file with LF or CR LF line ends");
    }
    if (column.find('"') != std::string::npos) {
      file_.fail(
          fmt::format("the column {} stands in quotation marks; write the cells without them", printable(column)));
    }
  }
}

std::vector<std::size_t> CsvReader::find_columns(const std::vector<std::string>& required,
                                                 const std::vector<std::string>& optional) const {
  std::vector<std::string> known = required;
  known.insert(known.end(), optional.begin(), optional.end());
  std::vector<std::size_t> positions(known.size(), kAbsent);
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    const auto match = std::find(known.begin(), known.end(), columns_[i]);
    if (match == known.end()) {
      file_.fail(fmt::format("the column '{}' is not known here; the nearest known one is {}: rename or remove it",
                             printable(columns_[i]), known[nearest_name(columns_[i], known)]));
    }
    std::size_t& position = positions[static_cast<std::size_t>(match - known.begin())];
    if (position != kAbsent) file_.fail(fmt::format("the column {} is there twice; remove one", *match));
    position = i;
  }
  for (std::size_t k = 0; k < required.size(); ++k) {
    if (positions[k] == kAbsent) file_.fail(fmt::format("the column {} is missing; add it", required[k]));
  }
  return positions;
}

bool CsvReader::next_text_line(std::string_view& line) {
  while (file_.next_line(line)) {
    const std::string_view text = trimmed(line);
    if (text.empty() || text.front() == '#') continue;
    return true;
  }
  return false;
}

void CsvReader::split(std::string_view line) {
  cells_.clear();
  const char* p = line.data();
  const char* const end = p + line.size();
  while (true) {
    const char* const start = p;
    while (p != end && *p != ',') ++p;
    std::string_view cell(start, static_cast<std::size_t>(p - start));
    if (!cell.empty() && (is_blank(cell.front()) || is_blank(cell.back()))) cell = trimmed(cell);
    cells_.push_back(cell);
    if (p == end) return;
    ++p;
  }
}

bool CsvReader::next_row_line(std::string_view& line) {
  if (!next_text_line(line)) {
    if (rows_ == 0) {
      throw InputError(fmt::format("{}: has a header but no row; record it again or remove it", file_.name()));
    }
    return false;
  }
  if (!file_.line_is_finished() && unfinished_ == UnfinishedRow::drop) {
    warnings_.push_back(fmt::format("{}:{}: the last row has no line end, so it may be cut short; it was left out",
                                    file_.name(), file_.line_number()));
    return next_row_line(line);
  }
  ++rows_;
  return true;
}

void CsvReader::fail_cell_count(std::size_t cells) const {
  file_.fail(fmt::format("the row has {} cells but the header {}; {}", cells, columns_.size(),
                         cells > columns_.size() ? "remove the surplus (a decimal comma also looks like one)"
                                                 : "complete or delete the row"));
}

bool CsvReader::next_row() {
  std::string_view line;
  if (!next_row_line(line)) return false;
  split(line);
  if (cells_.size() != columns_.size()) fail_cell_count(cells_.size());
  return true;
}

// The range in a cell that is not simply a short decimal.
double CsvReader::odd_range(std::size_t column, std::string_view cell) const {
  cell = trimmed(cell);
  double range = 0.0;
  const NumberFault fault = read_range(cell, range);
  if (fault != NumberFault::none) {
    file_.fail(fmt::format("the range of column {} {}", columns_[column], explain(fault, cell)));
  }
  return range;
}

bool CsvReader::next_row_of_ranges(std::vector<double>& ranges) {
  std::string_view line;
  if (!next_row_line(line)) return false;
  const char* const end = line.data() + line.size();
  const char* p = std::find(line.data(), end, ',');
  cells_.assign(1, trimmed({line.data(), static_cast<std::size_t>(p - line.data())}));
  ranges.resize(columns_.size() - 1);
  std::size_t read = 0;
  while (p != end && read < ranges.size()) {
    const char* const start = ++p;
    double& range = ranges[read++];
    p = read_short_decimal(start, end, range);
    if (p != nullptr && (p == end || *p == ',') && *start != '-') continue;
    p = std::find(start, end, ',');
    range = odd_range(read, {start, static_cast<std::size_t>(p - start)});
  }
  if (p != end || read < ranges.size()) {
    split(line);
    fail_cell_count(cells_.size());
  }
  return true;
}

void CsvReader::fail(std::size_t column, const std::string& what) const {
  file_.fail(fmt::format("{} {}", printable(columns_[column]), what));
}

double CsvReader::number(std::size_t column) const {
  double value = 0.0;
  const NumberFault fault = read_number(cells_[column], value);
  if (fault != NumberFault::none) fail(column, explain(fault, cells_[column]));
  return value;
}

double CsvReader::number_within(std::size_t column, double largest_magnitude) const {
  const double value = number(column);
  if (std::abs(value) > largest_magnitude) {
    fail(column, fmt::format("is '{}', which is not possible (at most {:g}); check the unit", printable(cells_[column]),
                             largest_magnitude));
  }
  return value;
}

std::int64_t CsvReader::whole_number(std::size_t column) const {
  std::int64_t value = 0;
  const NumberFault fault = read_whole_number(cells_[column], value);
  if (fault == NumberFault::none) return value;
  double decimal = 0.0;
  if (fault == NumberFault::not_a_number && read_number(cells_[column], decimal) != NumberFault::not_a_number) {
    fail(column, fmt::format("is '{}', which is not a whole number; write the counter's value without a point",
                             printable(cells_[column])));
  }
  if (fault == NumberFault::not_a_number && cells_[column].find('\0') == std::string_view::npos) {
    fail(column, fmt::format("is '{}', which is not a number; write a whole number", printable(cells_[column])));
  }
  fail(column, explain(fault, cells_[column]));
}

std::string CsvReader::name(std::size_t column) const {
  const std::string_view cell = cells_[column];
  if (cell.empty()) fail(column, "is empty; write a name");
  if (!is_plain_text(cell))
    fail(column, fmt::format("is '{}', which is not UTF-8 text; save the file as UTF-8", printable(cell)));
  return std::string(cell);
}

double CsvReader::time(std::size_t column) {
  const double time_s = number_within(column, kLatestTime_s);
  if (time_s < last_time_s_) {
    fail(column, fmt::format("goes back from {} to {} s; sort the rows by time, or split the file where the "
                             "clock was set",
                             last_time_s_, time_s));
  }
  last_time_s_ = time_s;
  return time_s;
}

}  // namespace wainscot
