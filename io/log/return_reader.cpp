#include "io/log/return_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "io/files/csv_reader.hpp"
#include "io/log/lidar_reading.hpp"
#include "io/log/row_limits.hpp"
#include "io/number_reader.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double kHalfTurn_deg = 180.0;
constexpr double kLargestAngle_deg = 1e9;    // some lidars count on: 360, 361, ...
constexpr double kLostRevolutions = 1.5;     // a gap longer than this ends a revolution
constexpr double kUsualTurn_s = 0.1;         // where the log is too short to tell
constexpr std::size_t kRowsToLearn = 16384;  // from which direction and speed are found: some twenty revolutions

// Angles that a lidar corrects for its geometry may go back a little; what goes back further went round.
constexpr double kLargestReversal_deg = 30.0;

struct Row {
  double time_s = 0.0;     // the lidar's clock
  double angle_deg = 0.0;  // as logged
  double range = 0.0;      // as logged; 0: no return
  std::size_t line = 0;
  bool is_like(const Row& other) const {
    return time_s == other.time_s && angle_deg == other.angle_deg && range == other.range;
  }
};

struct Spin {
  double direction = 1.0;  // of the logged angles: 1 growing, -1 falling
  double turn_s = kUsualTurn_s;
  bool at_once = false;  // sweep_s is 0: the rows' times stand as they are

  // How far the lidar turned from one logged angle to the next.
  double travel_deg(double from_deg, double to_deg) const {
    const double step = direction * wrap_angle_deg(to_deg - from_deg);
    return step < -kLargestReversal_deg ? step + kFullTurn_deg : step;
  }
};

double direction_of(const std::vector<Row>& rows) {
  std::ptrdiff_t forward = 0;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const double step = wrap_angle_deg(rows[i].angle_deg - rows[i - 1].angle_deg);
    forward += step > 0.0 ? 1 : step < 0.0 ? -1 : 0;
  }
  return forward >= 0 ? 1.0 : -1.0;
}

// The median time between the moments at which the lidar has come round.
double turn_time_s(const std::vector<Row>& rows, const Spin& spin) {
  std::vector<double> rounds;
  double travel = 0.0;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    travel += spin.travel_deg(rows[i - 1].angle_deg, rows[i].angle_deg);
    if (travel >= kFullTurn_deg * static_cast<double>(rounds.size())) rounds.push_back(rows[i].time_s);
  }
  std::vector<double> turns;
  for (std::size_t i = 1; i < rounds.size(); ++i) turns.push_back(rounds[i] - rounds[i - 1]);
  if (!turns.empty()) {
    const auto middle = turns.begin() + static_cast<std::ptrdiff_t>(turns.size() / 2);
    std::nth_element(turns.begin(), middle, turns.end());
    if (*middle > 0.0) return *middle;
  }
  const double time_s = rows.back().time_s - rows.front().time_s;
  return travel > 0.0 && time_s > 0.0 ? time_s * kFullTurn_deg / travel : kUsualTurn_s;
}

Spin learn_spin(const std::vector<Row>& rows, const LidarConstants& lidar) {
  Spin spin;
  spin.direction = direction_of(rows);
  spin.at_once = lidar.sweep_s && *lidar.sweep_s == 0.0;
  const bool stated = lidar.sweep_s && *lidar.sweep_s > 0.0;
  spin.turn_s = stated ? *lidar.sweep_s : turn_time_s(rows, spin);
  return spin;
}

// Rows with one stamp came in one packet: the stamp is the first one's moment, and the others follow as the lidar
// turns, at the latest before the next stamp.
void spread_by_angle(std::vector<Row>& packet, const Spin& spin, std::optional<double> next_stamp_s) {
  if (packet.size() < 2 || spin.at_once) return;
  const double stamp_s = packet.front().time_s;
  std::vector<double> travel = {0.0};
  for (std::size_t i = 1; i < packet.size(); ++i) {
    const double step = spin.travel_deg(packet[i - 1].angle_deg, packet[i].angle_deg);
    travel.push_back(travel.back() + std::max(step, 0.0));
  }
  double s_per_deg = spin.turn_s / kFullTurn_deg;
  if (next_stamp_s && travel.back() > 0.0) {
    const auto rows = static_cast<double>(packet.size());
    const double time_s = (*next_stamp_s - stamp_s) * (rows - 1.0) / rows;
    s_per_deg = std::min(s_per_deg, time_s / travel.back());
  }
  for (std::size_t i = 0; i < packet.size(); ++i) packet[i].time_s = stamp_s + travel[i] * s_per_deg;
}

// Cuts the stream of rows into revolutions.
class Revolutions {
 public:
  Revolutions(const Spin& spin, LidarReading& reading) : spin_(spin), reading_(reading) {}

  void add(const Row& row) {
    if (!last_ || ends_before(row)) begin(row);
    const double angle_deg = reading_.angle_deg(row.angle_deg);
    if (row.range > 0.0 && !reading_.is_blind(angle_deg)) {
      const std::optional<float> range = reading_.range_m(row.range);
      const double offset_s = (row.time_s - first_time_s_) * reading_.clock_rate();
      if (range) returns_.push_back({return_angle_rad(angle_deg), *range, static_cast<float>(offset_s)});
    }
    last_ = row;
  }

  std::vector<Scan> finish() {
    close();
    return std::move(scans_);
  }

  /// The line of each revolution's first row.
  const std::vector<std::size_t>& begins() const { return begins_; }

 private:
  // Whether the revolution is over before this row: by the way turned, by the angle's jump back, or by a gap.
  bool ends_before(const Row& row) {
    const double travel_deg = spin_.travel_deg(last_->angle_deg, row.angle_deg);
    travel_deg_ += travel_deg;
    const double logged_step = spin_.direction * (row.angle_deg - last_->angle_deg);
    bool jumps_back = logged_step < -kHalfTurn_deg;
    if (jumps_back && went_back_over_seam_) {
      went_back_over_seam_ = false;  // a little way back over 0 and forward again is no new revolution
      jumps_back = false;
    } else if (logged_step > kHalfTurn_deg && travel_deg < 0.0) {
      went_back_over_seam_ = true;
    }
    return jumps_back || travel_deg_ >= kFullTurn_deg - kRoundOff_deg ||
           row.time_s - last_->time_s > kLostRevolutions * spin_.turn_s;
  }

  void begin(const Row& row) {
    if (last_) close();
    first_time_s_ = row.time_s;
    begins_.push_back(row.line);
    travel_deg_ = 0.0;
    went_back_over_seam_ = false;
  }

  void close() {
    scans_.push_back({reading_.wheel_time_s(first_time_s_), std::vector<Return>(returns_.begin(), returns_.end())});
    returns_.clear();
  }

  Spin spin_;
  LidarReading& reading_;
  std::optional<Row> last_;
  double first_time_s_ = 0.0;
  double travel_deg_ = 0.0;
  bool went_back_over_seam_ = false;
  std::vector<Return> returns_;
  std::vector<Scan> scans_;
  std::vector<std::size_t> begins_;
};

// The rows of the file, those that are there twice left out.
class RowReader {
 public:
  explicit RowReader(CsvReader& table)
      : table_(table), columns_(table.find_columns({"time_s", "angle_deg", "range_m"}, {"strength"})) {}

  bool next(Row& row) {
    while (table_.next_row()) {
      row.time_s = table_.time(columns_[0]);
      row.angle_deg = table_.number_within(columns_[1], kLargestAngle_deg);
      const std::string_view range = table_.cells()[columns_[2]];
      const NumberFault fault = read_range(range, row.range);
      if (fault != NumberFault::none) table_.fail(columns_[2], explain(fault, range));
      count_strength();
      row.line = table_.file().line_number();
      if (!last_ || !row.is_like(*last_)) {
        last_ = row;
        return true;
      }
      ++doubled_;
    }
    return false;
  }

  std::size_t doubled() const { return doubled_; }
  std::size_t odd_strengths() const { return odd_strengths_; }

 private:
  // The strength is not used: a word in it may be damage, or how the lidar writes it.
  void count_strength() {
    if (columns_[3] == CsvReader::kAbsent || table_.cells()[columns_[3]].empty()) return;
    double strength = 0.0;
    if (read_number(table_.cells()[columns_[3]], strength) != NumberFault::none) ++odd_strengths_;
  }

  CsvReader& table_;
  std::vector<std::size_t> columns_;
  std::optional<Row> last_;
  std::size_t doubled_ = 0;
  std::size_t odd_strengths_ = 0;
};

}  // namespace

std::vector<Scan> read_returns(FileReader& file, const LidarConstants& lidar, std::vector<std::string>& warnings,
                               std::vector<std::size_t>* begins) {
  CsvReader table(file, UnfinishedRow::drop, warnings);
  RowReader reader(table);
  std::vector<Row> beginning;
  Row row;
  while (beginning.size() < kRowsToLearn && reader.next(row)) beginning.push_back(row);
  const Spin spin = learn_spin(beginning, lidar);

  LidarReading reading(lidar);
  Revolutions revolutions(spin, reading);
  std::vector<Row> packet;  // rows with one stamp
  const auto add = [&](const Row& next) {
    if (!packet.empty() && next.time_s != packet.front().time_s) {
      spread_by_angle(packet, spin, next.time_s);
      for (const Row& spread : packet) revolutions.add(spread);
      packet.clear();
    }
    packet.push_back(next);
  };
  for (const Row& early : beginning) add(early);
  while (reader.next(row)) add(row);
  spread_by_angle(packet, spin, std::nullopt);
  for (const Row& spread : packet) revolutions.add(spread);

  if (reader.doubled() > 0) {
    warnings.push_back(
        fmt::format("{}: {} like the one before, left out", file.name(), count_text(reader.doubled(), "row")));
  }
  if (reader.odd_strengths() > 0) {
    warnings.push_back(
        fmt::format("{}: the strength is no number in {}; it is not used, but look whether the file is damaged",
                    file.name(), count_text(reader.odd_strengths(), "row")));
  }
  reading.warn_of_odd_ranges(file.name(), warnings);
  if (begins != nullptr) *begins = revolutions.begins();
  return revolutions.finish();
}

}  // namespace wainscot
