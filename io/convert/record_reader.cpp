#include "io/convert/record_reader.hpp"

#include <algorithm>
#include <charconv>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/convert/log_number.hpp"
#include "io/convert/table_line.hpp"
#include "io/number_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr int kLinesToHeader = 100;  // a serial line's noise before it is not longer

/// The position of a column that is named by its number, from 1.
std::optional<std::size_t> numbered_position(const std::string& column) {
  std::size_t number = 0;
  const char* const end = column.data() + column.size();
  const auto [stop, error] = std::from_chars(column.data(), end, number);
  if (error != std::errc() || stop != end || number == 0) return std::nullopt;
  return number - 1;
}

}  // namespace

RecordReader::RecordReader(const LogFile& file, std::vector<std::string> columns, LogLines& lines)
    : file_(file), columns_(std::move(columns)), lines_(lines) {
  if (file_.form == LineForm::json) {
    json_.emplace(columns_);
    return;
  }
  positions_.resize(columns_.size());
  if (file_.header) {
    read_header();
    return;
  }
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    const std::optional<std::size_t> position = numbered_position(columns_[i]);
    if (!position) {
      throw InputError(fmt::format(
          "columns.yaml: the column '{}' has a name, but {} has no header; write the column's number, from 1, or "
          "header: true",
          printable(columns_[i]), lines_.name()));
    }
    positions_[i] = *position;
  }
}

bool RecordReader::take_header(std::vector<std::string>& missing) {
  missing.clear();
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    const auto found = std::find(cells_.begin(), cells_.end(), columns_[i]);
    const std::optional<std::size_t> number = numbered_position(columns_[i]);
    if (found != cells_.end()) {
      positions_[i] = static_cast<std::size_t>(found - cells_.begin());
    } else if (number) {
      positions_[i] = *number;
    } else {
      missing.push_back(columns_[i]);
    }
  }
  return missing.empty();
}

void RecordReader::read_header() {
  std::vector<std::string> missing;
  std::vector<std::string> first_missing;
  std::vector<std::string> first_cells;
  std::size_t first_line = 0;
  std::string_view line;
  for (int rows = 0; rows < kLinesToHeader && lines_.next(line);) {
    if (is_no_row(line)) continue;
    cut_line(line, file_.separator, cells_);
    header_ = line;
    if (take_header(missing)) return;
    if (rows++ > 0) continue;
    first_missing = missing;
    first_cells.assign(cells_.begin(), cells_.end());
    first_line = lines_.line_number();
  }
  if (first_cells.empty()) {
    throw InputError(fmt::format("{}: has no whole line; give the log that the robot wrote", lines_.name()));
  }
  const std::string& column = first_missing.front();
  throw InputError(lines_.message(
      fmt::format("there is no column '{}' in the header; the nearest is '{}': correct it in columns.yaml",
                  printable(column), printable(first_cells[nearest_name(column, first_cells)])),
      first_line));
}

RecordReader::Step RecordReader::next() {
  std::string_view line;
  while (lines_.next(line)) {
    if (is_no_row(line)) continue;
    if (json_) return json_->read(line) ? Step::record : Step::damaged;
    if (file_.header && line == header_) {
      ++headers_;
      continue;
    }
    cut_line(line, file_.separator, cells_);
    return Step::record;
  }
  return Step::end;
}

std::size_t RecordReader::place(const std::string& column) const {
  return static_cast<std::size_t>(std::find(columns_.begin(), columns_.end(), column) - columns_.begin());
}

bool RecordReader::has(std::size_t place) const {
  return json_ ? json_->values()[place].kind != JsonValue::Kind::absent : !cell(place).empty();
}

std::string_view RecordReader::text(std::size_t place) const {
  if (!json_) return cell(place);
  const JsonValue& value = json_->values()[place];
  const bool plain = value.kind == JsonValue::Kind::number || value.kind == JsonValue::Kind::text;
  return plain ? value.text : std::string_view{};
}

bool RecordReader::json_number(std::size_t place, double& value) const {
  const JsonValue& found = json_->values()[place];
  if (found.kind == JsonValue::Kind::text) {
    return read_number(found.text, value) == NumberFault::none || read_clock_time(found.text, value);
  }
  value = found.number;
  return found.kind == JsonValue::Kind::number;
}

std::span<const std::string_view> RecordReader::cells(std::size_t first, std::optional<std::size_t> last) const {
  const std::size_t begin = positions_[first];
  const std::size_t end = last ? std::min(positions_[*last] + 1, cells_.size()) : cells_.size();
  if (begin >= end) return {};
  return std::span(cells_).subspan(begin, end - begin);
}

const std::vector<double>* RecordReader::list(std::size_t place) const {
  if (!json_) return nullptr;
  const JsonValue& value = json_->values()[place];
  return value.kind == JsonValue::Kind::list && value.list_is_numbers ? &value.list : nullptr;
}

}  // namespace wainscot
