#include "io/convert/lidar_tables.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/convert/log_number.hpp"
#include "io/convert/log_units.hpp"
#include "io/log/row_limits.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr double kDegree_rad = std::numbers::pi / 180.0;
constexpr double kLargestBeamAngle_deg = 1e9;  // as returns.csv may have
constexpr double kLargestScanStart_deg = 720.0;
constexpr double kSameBeam_deg = 0.005;  // 0.7 mm at 8 m
constexpr std::size_t kCellBytes = TableWriter::kLongestNumberText + 2;
constexpr double kDamagedShare = 0.01;  // of a log's records, as `Misfits` bears it
// Of records with more ranges than a row of scans.csv gets: half of that, since other damage comes to it.
constexpr double kLongerShare = kDamagedShare / 2.0;
// Noise that garbles a range leaves the others where they are, as their number shows: such a scan is used without it.
// More in one scan, or in so many scans, is another layout, such as a word behind the ranges.
constexpr double kDamagedRanges = 0.02;
constexpr double kDamagedScans = 0.1;
constexpr const char* kNameLastRange =
    "where something else follows the ranges, name the last one's column with 'to' in scans.ranges of columns.yaml";
// The readers know a new revolution by an angle that jumps back by more than half a turn.
constexpr double kHalfTurnField_deg = 180.0;
constexpr double kNearlyFullTurn_deg = 359.0;

double factor_to(const std::string& unit_name, double out_si) {
  const LogUnit* const unit = find_log_unit(unit_name);
  return unit != nullptr ? unit->si / out_si : 1.0;
}

bool means_no_return(double logged, const std::vector<double>& no_return) {
  return !(logged > 0.0) || std::isinf(logged) ||
         std::find(no_return.begin(), no_return.end(), logged) != no_return.end();
}

}  // namespace

ScanTable::ScanTable(const ScanColumns& scans, const ScanForm& form, const RecordReader& records, TableWriter& table)
    : scans_(scans),
      form_(form),
      time_("scans.time", scans.time, records),
      ranges_place_(records.place(scans.ranges)),
      range_factor_(factor_to(scans.range_unit, 1.0)),
      table_(table) {
  if (!scans.last_range.empty()) last_place_ = records.place(scans.last_range);
  if (scans.angles) {
    form_.as_returns = true;
    angles_place_ = records.place(scans.angles->column);
    angles_factor_ = scans.angles->sign * factor_to(scans.angles->unit, kDegree_rad);
    angles_offset_deg_ = scans.angles->offset / kDegree_rad;
  } else {
    first_angle_.emplace("scans.first_angle", scans.first_angle, records, kDegree_rad, kLargestScanStart_deg);
    angle_step_.emplace("scans.angle_step", scans.angle_step, records, kDegree_rad, kFullTurn_deg);
  }
  if (form_.as_returns) table_.add_header("time_s,angle_deg,range_m\n");
}

std::string ScanTable::find_beams(const RecordReader& record, Beams& beams) const {
  if (record.is_json()) {
    beams.list = record.list(ranges_place_);
    if (beams.list == nullptr) {
      return fmt::format("scans.ranges ('{}') should be a list of numbers, but is {}", printable(scans_.ranges),
                         record.has(ranges_place_) ? "something else" : "missing");
    }
  } else {
    beams.cells = record.cells(ranges_place_, last_place_);
    // What writes each range with a separator behind it leaves an empty cell at the end of the line.
    const bool has_surplus = form_.beams == 0 || beams.cells.size() > form_.beams;
    if (!last_place_ && has_surplus && !beams.cells.empty() && beams.cells.back().empty()) {
      beams.cells = beams.cells.first(beams.cells.size() - 1);
    }
    if (beams.cells.empty()) {
      return fmt::format("there is no value in the column '{}' of scans.ranges", printable(scans_.ranges));
    }
  }
  if (angles_place_) {
    beams.angles = record.list(*angles_place_);
    const std::size_t angles = beams.angles != nullptr ? beams.angles->size() : 0;
    if (angles != beams.size()) {
      return fmt::format("scans.angles ('{}') has {} angles, but there are {} ranges", printable(scans_.angles->column),
                         angles, beams.size());
    }
    return {};
  }
  if (!first_angle_->read(record, beams.first_deg)) return first_angle_->fault(record);
  if (!angle_step_->read(record, beams.step_deg)) return angle_step_->fault(record);
  return {};
}

/// Reads a table's cells into `ranges_`; says what is no number where that is more than noise.
std::string ScanTable::read_cells(const RecordReader& record, const Beams& beams) {
  ranges_.resize(beams.cells.size());
  std::size_t damaged = 0;
  std::string first;
  for (std::size_t i = 0; i < ranges_.size(); ++i) {
    if (read_log_number(beams.cells[i], record.separator(), ranges_[i])) continue;
    ranges_[i] = std::numeric_limits<double>::quiet_NaN();
    if (damaged++ > 0) continue;
    first =
        fmt::format("range {} of {} should be a number, but is '{}'", i + 1, ranges_.size(), printable(beams.cells[i]));
  }
  if (damaged == 0) return {};
  if (static_cast<double>(damaged) > kDamagedRanges * static_cast<double>(ranges_.size())) {
    return first + "; " + kNameLastRange;
  }
  if (damaged_scans_++ == 0) first_damaged_ = record.lines().message(first, record.lines().line_number());
  return {};
}

void ScanTable::finish(std::vector<std::string>& warnings) const {
  if (damaged_scans_ == 0) return;
  const std::string of_all = fmt::format("{} of {}", whole_text(damaged_scans_), count_text(records_, "scan"));
  if (static_cast<double>(damaged_scans_) > kDamagedScans * static_cast<double>(records_)) {
    throw InputError(fmt::format("{}, as in {}; {}", first_damaged_, of_all, kNameLastRange));
  }
  warnings.push_back(fmt::format("{}; taken for no return, as in {}", first_damaged_, of_all));
}

std::string ScanTable::add(const RecordReader& record) {
  double time_s = 0.0;
  if (!time_.read(record, time_s)) return time_.fault(record);
  Beams beams;
  std::string fault = find_beams(record, beams);
  if (fault.empty() && beams.list == nullptr) fault = read_cells(record, beams);
  if (!fault.empty()) return fault;
  if (beams.list != nullptr) ranges_ = *beams.list;
  return form_.as_returns ? add_returns(record, time_s, beams) : add_row(record, time_s, beams);
}

double ScanTable::angle_deg(const Beams& beams, std::size_t i) const {
  if (beams.angles != nullptr) return (*beams.angles)[i] * angles_factor_ + angles_offset_deg_;
  return beams.first_deg + static_cast<double>(i) * beams.step_deg;
}

bool ScanTable::is_no_return(double logged) const { return means_no_return(logged, scans_.no_return); }

void ScanTable::write_range(const Beams& beams, std::size_t i) {
  const double logged = ranges_[i];
  if (is_no_return(logged)) return;
  const bool as_logged =
      range_factor_ == 1.0 && beams.list == nullptr && beams.cells[i].find(',') == std::string_view::npos;
  if (as_logged) {
    table_.add(beams.cells[i]);
  } else {
    table_.add_number<5>(logged * range_factor_);
  }
}

void ScanTable::begin_table(const Beams& beams) {
  began_ = true;
  first_deg_ = beams.first_deg;
  step_deg_ = beams.step_deg;
  if (form_.beams == 0) form_.beams = beams.size();
  std::string header = "time_s";
  for (std::size_t i = 0; i < form_.beams; ++i) {
    header += "," + short_text(first_deg_ + static_cast<double>(i) * step_deg_, 6);
  }
  table_.add_header(header + "\n");
}

std::string ScanTable::fault_of_form(const Beams& beams) const {
  const double last_deg = static_cast<double>(form_.beams) * (beams.step_deg - step_deg_);
  if (std::abs(beams.first_deg - first_deg_) > kSameBeam_deg ||
      std::abs(beams.first_deg - first_deg_ + last_deg) > kSameBeam_deg) {
    return fmt::format("the scan begins at {} degrees with a step of {}, but nearly all others at {} with a step of {}",
                       short_text(beams.first_deg, 4), short_text(beams.step_deg, 5), short_text(first_deg_, 4),
                       short_text(step_deg_, 5));
  }
  return fmt::format("the scan has {} ranges, but nearly all others have {}{}", beams.size(),
                     form_.may_have_fewer ? "at most " : "", form_.beams);
}

std::string ScanTable::add_row(const RecordReader& record, double time_s, const Beams& beams) {
  if (!began_) begin_table(beams);
  const double last_deg = static_cast<double>(form_.beams) * (beams.step_deg - step_deg_);
  const bool same_angles = std::abs(beams.first_deg - first_deg_) <= kSameBeam_deg &&
                           std::abs(beams.first_deg - first_deg_ + last_deg) <= kSameBeam_deg;
  const bool same_count = beams.size() == form_.beams || (form_.may_have_fewer && beams.size() < form_.beams);
  ++records_;
  ++counts_[beams.size()];
  other_angles_ += same_angles ? 0 : 1;
  other_counts_ += same_count ? 0 : 1;
  if (!same_angles || !same_count) return form_.is_settled ? fault_of_form(beams) : std::string{};
  if (!table_.begin_row(time_s, kCellBytes * (form_.beams + 1))) return {};
  time_.write(record, time_s, table_);
  for (std::size_t i = 0; i < beams.size(); ++i) {
    table_.add(',');
    write_range(beams, i);
  }
  for (std::size_t i = beams.size(); i < form_.beams; ++i) table_.add(',');
  table_.add('\n');
  return {};
}

std::string ScanTable::add_returns(const RecordReader& record, double time_s, const Beams& beams) {
  const std::size_t size = beams.size();
  for (std::size_t i = 0; i < size; ++i) {
    if (!(std::abs(angle_deg(beams, i)) <= kLargestBeamAngle_deg)) {
      return fmt::format("angle {} of {} is no number, or more than can be", i + 1, size);
    }
  }
  ++records_;
  ++counts_[size];
  if (size == 0 || !table_.begin_row(time_s, 3 * kCellBytes * (size + 1))) return {};
  for (std::size_t i = 0; i < size; ++i) {
    time_.write(record, time_s, table_);
    table_.add(',');
    table_.add_number<5>(angle_deg(beams, i));
    table_.add(',');
    write_range(beams, i);
    table_.add('\n');
  }
  const double field_deg = angle_deg(beams, size - 1) - angle_deg(beams, 0);
  if (std::abs(field_deg) > kHalfTurnField_deg) return {};
  // A beam without a return, so that the next scan's first one jumps back.
  time_.write(record, time_s, table_);
  table_.add(',');
  table_.add_number<5>(angle_deg(beams, 0) + std::copysign(kNearlyFullTurn_deg, field_deg));
  table_.add(",\n");
  return {};
}

std::optional<ScanForm> ScanTable::better_form() const {
  if (form_.is_settled || form_.as_returns || (other_angles_ == 0 && other_counts_ == 0)) return std::nullopt;
  const auto share = [this](std::size_t count) { return static_cast<double>(count) / static_cast<double>(records_); };
  ScanForm form;
  form.is_settled = true;
  if (share(other_angles_) > kDamagedShare) {
    form.as_returns = true;
    return form;
  }
  const auto most = std::max_element(counts_.begin(), counts_.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; });
  form.beams = most->first;
  if (share(records_ - most->second) <= kDamagedShare) return form;
  form.may_have_fewer = true;
  std::size_t longer = 0;
  for (auto count = counts_.rbegin(); count != counts_.rend(); ++count) {
    form.beams = count->first;
    longer += count->second;
    if (share(longer) > kLongerShare) break;
  }
  // scans.csv goes round once at most.
  form.as_returns = std::abs(step_deg_) * static_cast<double>(form.beams - 1) > kFullTurn_deg;
  return form;
}

ReturnTable::ReturnTable(const ReturnColumns& returns, const RecordReader& records, TableWriter& table)
    : time_("returns.time", returns.time, records),
      angle_(returns.angle_step ? "returns.number" : "returns.angle", returns.angle, records,
             returns.angle_step ? 1.0 : kDegree_rad, kLargestBeamAngle_deg),
      range_("returns.range", returns.range, records, 1.0, kLargestPosition_m),
      no_return_(returns.no_return),
      range_place_(records.place(returns.range.column)),
      table_(table) {
  if (returns.angle_step) {
    first_angle_.emplace("returns.first_angle", returns.first_angle, records, kDegree_rad, kLargestBeamAngle_deg);
    angle_step_.emplace("returns.angle_step", *returns.angle_step, records, kDegree_rad, kFullTurn_deg);
  }
  table_.add_header("time_s,angle_deg,range_m\n");
}

std::string ReturnTable::add(const RecordReader& record) {
  double time_s = 0.0;
  double angle_deg = 0.0;
  double logged = 0.0;
  double range_m = 0.0;
  if (!time_.read(record, time_s)) return time_.fault(record);
  if (!angle_.read(record, angle_deg)) return angle_.fault(record);
  if (!range_.read_logged(record, logged)) return range_.fault(record);
  const bool no_return = means_no_return(logged, no_return_);
  if (!no_return && !range_.from_logged(logged, range_m)) return range_.fault(record);
  if (first_angle_) {
    double first_deg = 0.0;
    double step_deg = 0.0;
    if (!first_angle_->read(record, first_deg)) return first_angle_->fault(record);
    if (!angle_step_->read(record, step_deg)) return angle_step_->fault(record);
    angle_deg = first_deg + angle_deg * step_deg;
  }
  if (!table_.begin_row(time_s, 4 * kCellBytes)) return {};
  time_.write(record, time_s, table_);
  table_.add(',');
  if (first_angle_) {
    table_.add_number<5>(angle_deg);
  } else {
    angle_.write<5>(record, angle_deg, table_);
  }
  table_.add(',');
  if (!no_return && range_m > 0.0) range_.write<5>(record, range_m, table_);
  table_.add('\n');
  return {};
}

}  // namespace wainscot
