#include "io/convert/guessed_columns.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace wainscot {
namespace {

Quantity column_quantity(const std::string& column, const std::string& unit, bool negative = false) {
  Quantity q;
  q.column = column;
  q.unit = unit;
  q.sign = negative ? -1 : 1;
  return q;
}

/// Whether each record of the kind has a value in the column or the array.
bool all_have(const RecordKind& records, const std::string& name) {
  const auto is_full = [&name](const SampleColumn& c) {
    return c.name == name && std::none_of(c.values.begin(), c.values.end(), [](double v) { return std::isnan(v); });
  };
  const auto is_full_array = [&name](const SampleArray& a) {
    return a.name == name && std::none_of(a.rows.begin(), a.rows.end(), [](const auto& row) { return row.empty(); });
  };
  return std::any_of(records.columns.begin(), records.columns.end(), is_full) ||
         std::any_of(records.arrays.begin(), records.arrays.end(), is_full_array);
}

/// The columns of one kind of records.
class KindColumns {
 public:
  KindColumns(const LogSample& sample, std::size_t file, std::size_t kind)
      : kinds_(sample.files[file].kinds), kind_(kinds_[kind]), is_only_file_(sample.files.size() == 1) {}

  Quantity quantity(std::size_t column, const std::string& unit, bool negative = false) const {
    return column_quantity(kind_.columns[column].name, unit, negative);
  }

  Quantity angle(const AngleGuess& angle, bool mirrored) const {
    if (angle.column) return quantity(*angle.column, angle.unit, mirrored);
    Quantity q;
    q.constant = mirrored && angle.value != 0.0 ? -angle.value : angle.value;
    q.unit = angle.unit;
    return q;
  }

  /// `needed`: the column or array without which a record is another one, where no message tells them apart.
  RecordChoice choice(const std::string& needed) const {
    RecordChoice choice = kind_.choice;
    if (is_only_file_) choice.file.clear();
    const bool in_all =
        std::all_of(kinds_.begin(), kinds_.end(), [&needed](const RecordKind& kind) { return all_have(kind, needed); });
    if (choice.message_column.empty() && !in_all) choice.message_column = needed;
    return choice;
  }
  RecordChoice choice(std::size_t needed) const { return choice(kind_.columns[needed].name); }

  const RecordKind& kind() const { return kind_; }

 private:
  const std::vector<RecordKind>& kinds_;
  const RecordKind& kind_;
  bool is_only_file_;
};

KindColumns columns_of(const LogSample& sample, const MotionRecords& records) {
  return {sample, records.file, records.kind};
}

WheelColumns wheel_columns(const LogSample& sample, const WheelGuess& wheels, const Direction& d) {
  const KindColumns kind = columns_of(sample, wheels.records);
  const std::size_t left = d.swapped ? wheels.second : wheels.first;
  const std::size_t right = d.swapped ? wheels.first : wheels.second;
  return {kind.choice(wheels.first), kind.quantity(wheels.records.time.column, wheels.records.time.unit),
          kind.quantity(left, wheels.unit, d.left_backwards), kind.quantity(right, wheels.unit, d.right_backwards),
          wheels.increments};
}

OdometryColumns odometry_columns(const LogSample& sample, const OdometryGuess& o, const Direction& d) {
  const KindColumns kind = columns_of(sample, o.records);
  return {kind.choice(o.x), kind.quantity(o.records.time.column, o.records.time.unit), kind.quantity(o.x, o.unit),
          kind.quantity(o.y, o.unit, o.flipped != d.swapped), kind.quantity(o.heading, o.heading_unit, d.swapped)};
}

GyroColumns gyro_columns(const LogSample& sample, const GyroGuess& gyro, const Direction& d, double offset_s) {
  const KindColumns kind = columns_of(sample, gyro.records);
  GyroColumns columns{kind.choice(gyro.column), kind.quantity(gyro.records.time.column, gyro.records.time.unit),
                      kind.quantity(gyro.column, gyro.unit, d.gyro_backwards)};
  columns.time.offset = offset_s;
  return columns;
}

ScanColumns scan_columns(const KindColumns& kind, const RangeGuess& ranges, const Quantity& time, bool mirrored) {
  const SampleArray& array = kind.kind().arrays[*ranges.array];
  ScanColumns scans;
  scans.records = kind.choice(array.name);
  scans.time = time;
  scans.ranges = array.name;
  if (!array.to_the_end) scans.last_range = array.last_name;
  scans.range_unit = ranges.values.unit;
  scans.no_return = ranges.values.no_return;
  if (ranges.angle_list) {
    scans.angles = column_quantity(kind.kind().arrays[*ranges.angle_list].name, ranges.first.unit, mirrored);
    return scans;
  }
  scans.first_angle = kind.angle(ranges.first, mirrored);
  scans.angle_step = kind.angle(ranges.step, mirrored);
  return scans;
}

ReturnColumns return_columns(const KindColumns& kind, const RangeGuess& ranges, const Quantity& time, bool mirrored) {
  ReturnColumns returns;
  returns.records = kind.choice(ranges.range_column);
  returns.time = time;
  returns.range = kind.quantity(ranges.range_column, ranges.values.unit);
  returns.no_return = ranges.values.no_return;
  if (ranges.numbered) {
    returns.angle = kind.quantity(ranges.angle_column, "");
    returns.angle_step = kind.angle(ranges.step, mirrored);
    returns.first_angle = kind.angle(ranges.first, mirrored);
  } else {
    returns.angle = kind.quantity(ranges.angle_column, ranges.first.unit, mirrored);
  }
  return returns;
}

}  // namespace

LogColumns guessed_columns(const LogSample& sample, const RangeGuess& ranges, const ChosenMotion& motion,
                           const Direction& direction, const ChosenClocks& clocks) {
  LogColumns columns;
  for (const SampledFile& file : sample.files) columns.files.push_back(file.file);
  if (motion.wheels() != nullptr) columns.wheels = wheel_columns(sample, *motion.wheels(), direction);
  if (motion.odometry() != nullptr) columns.odometry = odometry_columns(sample, *motion.odometry(), direction);
  if (motion.gyro() != nullptr) columns.gyro = gyro_columns(sample, *motion.gyro(), direction, clocks.gyro_offset_s);
  const KindColumns kind(sample, ranges.file, ranges.kind);
  Quantity time = kind.quantity(ranges.time.column, ranges.time.unit);
  time.offset = clocks.scans_offset_s;
  if (ranges.array) {
    columns.scans = scan_columns(kind, ranges, time, direction.mirrored);
  } else {
    columns.returns = return_columns(kind, ranges, time, direction.mirrored);
  }
  return columns;
}

}  // namespace wainscot
