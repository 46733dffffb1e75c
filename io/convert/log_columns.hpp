#pragma once

// What `columns.yaml` says (io/FORMATS.md): which line of a robot's own log holds what, in which unit. Written by
// people or by `guess_columns`, read by `columns_yaml`, followed by `drive_conversion`.
//
// A record is what one line holds: a row of a table, a message, a JSON object. A record's values have names: the
// header's cells, "1", "2", ... where a table has no header, and paths such as "pose.x" or "scan.ranges" in JSON.

#include <optional>
#include <string>
#include <vector>

namespace wainscot {

/// How the lines of a file are cut into values.
enum class LineForm { table, json };

/// What stands between the values of a table; `blanks` is any number of spaces and tabs.
enum class Separator { comma, semicolon, tab, blanks };

/// One log file.
struct LogFile {
  std::string name;  ///< as the command line names it, without its folder
  LineForm form = LineForm::table;
  Separator separator = Separator::comma;
  bool header = false;  ///< the first line that is no comment names the columns
};

/// Which records of which file.
struct RecordChoice {
  std::string file;            ///< `LogFile::name`; empty where there is one file only
  std::string message_column;  ///< the value that tells messages apart; empty: all records
  std::string message;         ///< what stands there; empty: any record that has such a value
};

/// One number of a record, or a constant, in SI: `sign * value * unit + offset`.
struct Quantity {
  std::string column;              ///< empty: `constant` is the value
  std::optional<double> constant;  ///< in `unit`
  std::string unit;     ///< a word of `known_unit`: s, ms, us, ns, m, cm, mm, rad, deg, rad/s, deg/s; empty: counts
  int sign = 1;         ///< 1 or -1
  double offset = 0.0;  ///< SI, added last
};

struct WheelColumns {
  RecordChoice records;
  Quantity time;
  Quantity left;  ///< counts; or with a unit of length or angle, how far the wheel has rolled or turned
  Quantity right;
  bool increments = false;  ///< each row counts from the row before
};

struct OdometryColumns {
  RecordChoice records;
  Quantity time;
  Quantity x;
  Quantity y;
  Quantity heading;
};

struct GyroColumns {
  RecordChoice records;
  Quantity time;
  Quantity yaw_rate;
};

/// A record is a revolution.
struct ScanColumns {
  RecordChoice records;
  Quantity time;
  std::string ranges;      ///< JSON: the path of the array; a table: the first range's column, the others follow it
  std::string last_range;  ///< a table: the last range's column; empty: to the end of the line
  std::string range_unit;  ///< m, cm, mm
  std::optional<Quantity> angles;  ///< JSON: the path of an array of angles, one a range; in place of the next two
  Quantity first_angle;            ///< of the first range: a column or a constant
  Quantity angle_step;  ///< from range to range, negative where the lidar counts clockwise; a column or a constant
  std::vector<double> no_return;  ///< logged values that mean "nothing answered", besides empty, nan, inf, 0 and below
};

/// A record is one beam.
struct ReturnColumns {
  RecordChoice records;
  Quantity time;
  Quantity angle;  ///< a column of angles, or (where `angle_step` is there) of the beams' numbers, from 0
  std::optional<Quantity> angle_step;  ///< a constant: angle = first_angle + number * angle_step
  Quantity first_angle;                ///< used with `angle_step` only
  Quantity range;
  std::vector<double> no_return;
};

/// One drive's logs. At most one of `wheels` and `odometry`, exactly one of `scans` and `returns` is there.
struct LogColumns {
  std::vector<LogFile> files;
  std::optional<WheelColumns> wheels;
  std::optional<OdometryColumns> odometry;
  std::optional<GyroColumns> gyro;
  std::optional<ScanColumns> scans;
  std::optional<ReturnColumns> returns;
};

}  // namespace wainscot
