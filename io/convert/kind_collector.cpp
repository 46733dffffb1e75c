#include "io/convert/kind_collector.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "io/convert/log_number.hpp"

namespace wainscot {
namespace {

constexpr double kNoValue = std::numeric_limits<double>::quiet_NaN();

void go_on_at_midnight(std::vector<double>& seconds) {
  constexpr double kDay_s = 86400.0;
  double days_s = 0.0, last = 0.0;
  for (double& s : seconds) {
    if (!std::isfinite(s)) continue;
    if (s + kDay_s / 2.0 < last) days_s += kDay_s;
    last = s;
    s += days_s;
  }
}

/// Leaves out rows without a value that nearly all others have: a serial line lost part of them.
void leave_out_damaged(RecordKind& kind) {
  constexpr std::size_t kFewValues = 12;  // a long row loses a range, and the others are of use
  constexpr std::size_t kFewestRecords = 100;
  constexpr std::size_t kDamagedOneIn = 50;
  if (kind.columns.size() > kFewValues || kind.records < kFewestRecords) return;
  std::vector<bool> damaged(kind.records, false);
  for (const SampleColumn& column : kind.columns) {
    const auto missing = static_cast<std::size_t>(
        std::count_if(column.values.begin(), column.values.end(), [](double v) { return std::isnan(v); }));
    if (missing == 0 || kDamagedOneIn * missing > kind.records) continue;
    for (std::size_t i = 0; i < kind.records; ++i) damaged[i] = damaged[i] || std::isnan(column.values[i]);
  }
  for (SampleColumn& column : kind.columns) {
    std::size_t kept = 0;
    for (std::size_t i = 0; i < kind.records; ++i) {
      if (!damaged[i]) column.values[kept++] = column.values[i];
    }
    column.values.resize(kept);
  }
  kind.records -= static_cast<std::size_t>(std::count(damaged.begin(), damaged.end(), true));
}

}  // namespace

void KindCollector::begin(const std::string& key, const std::string& message_column, const std::string& message) {
  const auto [place, is_new] = places_.try_emplace(key, kinds_.size());
  if (is_new) {
    kinds_.emplace_back();
    kinds_.back().kind.choice = {file_.name, message_column, message};
  }
  current_ = &kinds_[place->second];
  ++current_->kind.records;
}

void KindCollector::path_value(const std::string& path, double value, bool is_clock) {
  const auto [place, is_new] = current_->columns.try_emplace(path, current_->kind.columns.size());
  if (is_new) current_->kind.columns.push_back({path, path, {}, false});
  SampleColumn& column = current_->kind.columns[place->second];
  column.is_clock = column.is_clock || is_clock;
  column.values.resize(current_->kind.records, kNoValue);
  column.values.back() = value;
}

void KindCollector::number(const std::string& path, double value) { path_value(path, value, false); }

void KindCollector::text(const std::string& path, std::string_view text) {
  double seconds = 0.0;
  if (read_clock_time(text, seconds)) path_value(path, seconds, true);
}

void KindCollector::cell(std::size_t column, std::string_view text) {
  std::vector<SampleColumn>& cells = current_->cells;
  if (cells.size() <= column) cells.resize(column + 1);
  SampleColumn& to = cells[column];
  to.values.resize(current_->kind.records, kNoValue);
  double value = 0.0;
  if (!read_log_number(text, file_.separator, value)) return;
  to.values.back() = value;
  if (text.find_first_of("=:") == std::string_view::npos) return;
  if (to.label.empty()) to.label = name_in_cell(text);
  to.is_clock = to.is_clock || text.find(':', to.label.empty() ? 0 : to.label.size() + 1) != std::string_view::npos;
}

void KindCollector::list(const std::string& path, const std::vector<double>& values) {
  const auto [place, is_new] = current_->arrays.try_emplace(path, current_->kind.arrays.size());
  if (is_new) current_->kind.arrays.push_back({path, {}, false, {}, {}});
  SampleArray& array = current_->kind.arrays[place->second];
  array.rows.resize(current_->kind.records);
  array.rows.back() = values;
}

RecordKind KindCollector::finished(Growing& growing, const std::vector<std::string>& names,
                                   const std::vector<std::string>& labels) {
  RecordKind& kind = growing.kind;
  const bool is_table = !growing.cells.empty();
  for (std::size_t c = 0; c < growing.cells.size(); ++c) {
    SampleColumn& column = kind.columns.emplace_back(std::move(growing.cells[c]));
    column.name = c < names.size() ? names[c] : fmt::format("{}", c + 1);
    if (c < labels.size()) column.label = labels[c];
  }
  for (SampleColumn& column : kind.columns) {
    column.values.resize(kind.records, kNoValue);
    if (column.is_clock) go_on_at_midnight(column.values);
  }
  for (SampleArray& array : kind.arrays) array.rows.resize(kind.records);
  if (is_table) leave_out_damaged(kind);
  return std::move(kind);
}

std::vector<RecordKind> KindCollector::finish(const std::vector<std::string>& names,
                                              const std::vector<std::string>& labels) {
  std::vector<RecordKind> result;
  for (Growing& growing : kinds_) result.push_back(finished(growing, names, labels));
  std::stable_sort(result.begin(), result.end(),
                   [](const RecordKind& a, const RecordKind& b) { return a.records > b.records; });
  return result;
}

}  // namespace wainscot
