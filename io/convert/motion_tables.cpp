#include "io/convert/motion_tables.hpp"

#include <cmath>

#include <fmt/format.h>

#include "io/log/row_limits.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double kLargestCount = 1e15;         // as wheels.csv may have
constexpr double kLargestYawRate_rad_s = 100;  // as gyro.csv may have
constexpr double kWholeTo = 1e-6;              // of counts that a log writes as 12.000000
constexpr std::size_t kRowBytes = 8 * TableWriter::kLongestNumberText;

double tick_of(const Quantity& quantity) { return quantity.unit.empty() ? 1.0 : kTickOfUnit; }

/// Empty where it is whole.
std::string fault_of_count(double count, bool is_counts, const std::string& key) {
  if (!is_counts || std::abs(count - std::round(count)) <= kWholeTo) return {};
  return fmt::format("{} is {}, but counts are whole numbers; a way or an angle has its unit in columns.yaml", key,
                     short_text(count, 6));
}

}  // namespace

bool RepeatedRows::leaves_out(double time_s, const std::array<double, 3>& values) {
  constexpr double kOftenEnoughS = 0.05;  // a robot that stands is still told of
  if (beside_beams_ && any_ && values == last_ && time_s >= last_s_ && time_s - last_s_ < kOftenEnoughS) return true;
  any_ = true;
  last_s_ = time_s;
  last_ = values;
  return false;
}

WheelTable::WheelTable(const WheelColumns& wheels, const RecordReader& records, TableWriter& table, bool beside_beams)
    : time_("wheels.time", wheels.time, records),
      left_("wheels.left", wheels.left, records, tick_of(wheels.left), kLargestCount),
      right_("wheels.right", wheels.right, records, tick_of(wheels.right), kLargestCount),
      increments_(wheels.increments),
      left_is_counts_(wheels.left.unit.empty()),
      right_is_counts_(wheels.right.unit.empty()),
      repeated_(beside_beams),
      table_(table) {
  table_.add_header("time_s,left_ticks,right_ticks\n");
}

std::string WheelTable::add(const RecordReader& record) {
  double time_s = 0.0;
  double left = 0.0;
  double right = 0.0;
  if (!time_.read(record, time_s)) return time_.fault(record);
  if (!left_.read(record, left)) return left_.fault(record);
  if (!right_.read(record, right)) return right_.fault(record);
  std::string fault = fault_of_count(left, left_is_counts_, left_.key());
  if (fault.empty()) fault = fault_of_count(right, right_is_counts_, right_.key());
  if (!fault.empty()) return fault;
  left_total_ = increments_ ? left_total_ + left : left;
  right_total_ = increments_ ? right_total_ + right : right;
  if (repeated_.leaves_out(time_s, {left_total_, right_total_, 0.0})) return {};
  if (!table_.begin_row(time_s, kRowBytes)) return {};
  time_.write(record, time_s, table_);
  table_.add(',');
  table_.add_whole_number(std::llround(left_total_));
  table_.add(',');
  table_.add_whole_number(std::llround(right_total_));
  table_.add('\n');
  return {};
}

OdometryTable::OdometryTable(const OdometryColumns& odometry, const RecordReader& records, TableWriter& table,
                             bool beside_beams)
    : time_("odometry.time", odometry.time, records),
      x_("odometry.x", odometry.x, records, 1.0, kLargestPosition_m),
      y_("odometry.y", odometry.y, records, 1.0, kLargestPosition_m),
      heading_("odometry.heading", odometry.heading, records, 1.0, kLargestHeading_rad),
      repeated_(beside_beams),
      table_(table) {
  table_.add_header("time_s,x_m,y_m,heading_rad\n");
}

std::string OdometryTable::add(const RecordReader& record) {
  double time_s = 0.0;
  double x_m = 0.0;
  double y_m = 0.0;
  double heading_rad = 0.0;
  if (!time_.read(record, time_s)) return time_.fault(record);
  if (!x_.read(record, x_m)) return x_.fault(record);
  if (!y_.read(record, y_m)) return y_.fault(record);
  if (!heading_.read(record, heading_rad)) return heading_.fault(record);
  if (repeated_.leaves_out(time_s, {x_m, y_m, heading_rad})) return {};
  if (!table_.begin_row(time_s, kRowBytes)) return {};
  time_.write(record, time_s, table_);
  table_.add(',');
  x_.write<6>(record, x_m, table_);
  table_.add(',');
  y_.write<6>(record, y_m, table_);
  table_.add(',');
  heading_.write<8>(record, heading_rad, table_);
  table_.add('\n');
  return {};
}

GyroTable::GyroTable(const GyroColumns& gyro, const RecordReader& records, TableWriter& table)
    : time_("gyro.time", gyro.time, records),
      yaw_rate_("gyro.yaw_rate", gyro.yaw_rate, records, 1.0, kLargestYawRate_rad_s),
      table_(table) {
  table_.add_header("time_s,yaw_rate_rad_s\n");
}

std::string GyroTable::add(const RecordReader& record) {
  double time_s = 0.0;
  double rate_rad_s = 0.0;
  if (!time_.read(record, time_s)) return time_.fault(record);
  if (!yaw_rate_.read(record, rate_rad_s)) return yaw_rate_.fault(record);
  if (!table_.begin_row(time_s, kRowBytes)) return {};
  time_.write(record, time_s, table_);
  table_.add(',');
  yaw_rate_.write<8>(record, rate_rad_s, table_);
  table_.add('\n');
  return {};
}

}  // namespace wainscot
