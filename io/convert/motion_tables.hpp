#pragma once

// wheels.csv, odometry.csv and gyro.csv from the records of a log.

#include <array>
#include <string>

#include "io/convert/log_columns.hpp"
#include "io/convert/quantity_reader.hpp"
#include "io/convert/record_reader.hpp"
#include "io/convert/section_table.hpp"
#include "io/convert/table_writer.hpp"

namespace wainscot {

/// A tick of wheels.csv where the log has a way or an angle in place of counts: micrometres, or millionths of a radian.
constexpr double kTickOfUnit = 1e-6;

/// Where a robot's motion stands beside each beam of its lidar, rows repeat until the robot knows more. They are left
/// out: a reader would take a usual step within a beam's time for a restart.
class RepeatedRows {
 public:
  explicit RepeatedRows(bool beside_beams) : beside_beams_(beside_beams) {}

  /// Whether the row says what the last row that was kept said, not long after it.
  bool leaves_out(double time_s, const std::array<double, 3>& values);

 private:
  bool beside_beams_;
  bool any_ = false;
  double last_s_ = 0.0;
  std::array<double, 3> last_{};
};

class WheelTable : public SectionTable {
 public:
  WheelTable(const WheelColumns& wheels, const RecordReader& records, TableWriter& table, bool beside_beams = false);
  std::string add(const RecordReader& record) override;

 private:
  TimeReader time_;
  QuantityReader left_;
  QuantityReader right_;
  bool increments_;
  bool left_is_counts_;
  bool right_is_counts_;
  double left_total_ = 0.0;
  double right_total_ = 0.0;
  RepeatedRows repeated_;
  TableWriter& table_;
};

class OdometryTable : public SectionTable {
 public:
  OdometryTable(const OdometryColumns& odometry, const RecordReader& records, TableWriter& table,
                bool beside_beams = false);
  std::string add(const RecordReader& record) override;

 private:
  TimeReader time_;
  QuantityReader x_;
  QuantityReader y_;
  QuantityReader heading_;
  RepeatedRows repeated_;
  TableWriter& table_;
};

class GyroTable : public SectionTable {
 public:
  GyroTable(const GyroColumns& gyro, const RecordReader& records, TableWriter& table);
  std::string add(const RecordReader& record) override;

 private:
  TimeReader time_;
  QuantityReader yaw_rate_;
  TableWriter& table_;
};

}  // namespace wainscot
