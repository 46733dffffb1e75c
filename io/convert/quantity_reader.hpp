#pragma once

// One number of each record, in the unit that it is written in.

#include <algorithm>
#include <string>
#include <string_view>

#include "io/convert/log_columns.hpp"
#include "io/convert/record_reader.hpp"
#include "io/convert/table_writer.hpp"

namespace wainscot {

class QuantityReader {
 public:
  /// `key` is how columns.yaml names it, such as "wheels.left". Values are given in units of `out_si` (in s, m, rad or
  /// rad/s), and are at most `largest` of those: what is beyond is in another unit.
  QuantityReader(std::string key, const Quantity& quantity, const RecordReader& records, double out_si, double largest);

  /// False: the record has no such number (`fault` says why).
  bool read(const RecordReader& record, double& value) const {
    double logged = 0.0;
    return read_logged(record, logged) && from_logged(logged, value);
  }

  // The same in two steps, for those who look at the number as the log has it, before unit, sign and offset.
  bool read_logged(const RecordReader& record, double& logged) const {
    return constant_ || record.number(place_, logged);
  }
  bool from_logged(double logged, double& value) const {
    value = constant_ ? offset_ : logged * factor_ + offset_;
    return value <= largest_ && value >= -largest_;  // not NaN either
  }

  /// The end of a sentence that begins with the line: "wheels.left (column 'l') should be a number, but is 'abc'".
  std::string fault(const RecordReader& record) const;

  /// Writes the value of a record that has one, the log's own digits where they say the same.
  template <int decimals>
  void write(const RecordReader& record, double value, TableWriter& table) const {
    const std::string_view text = as_logged_ ? record.text(place_) : std::string_view{};
    if (is_plain_number(text)) {
      table.add(text);
    } else {
      table.add_number<decimals>(value);
    }
  }

  const std::string& key() const { return key_; }

 private:
  /// Of a text that a log's reader took for a number: without a decimal comma, a name before it, or the colons of a
  /// time.
  static bool is_plain_number(std::string_view text) {
    return !text.empty() &&
           std::all_of(text.begin(), text.end(), [](char c) { return (c <= '9' && c != ',') || c == 'e' || c == 'E'; });
  }

  std::string key_;
  std::string column_;
  std::size_t place_ = 0;
  bool constant_ = false;
  bool as_logged_ = false;
  double factor_ = 1.0;
  double offset_ = 0.0;
  double largest_;
};

/// The time of each record, in seconds. A clock of 32 bits that counts milli- or microseconds, as small boards have,
/// goes on where it wraps round, and a time of day at midnight.
class TimeReader {
 public:
  TimeReader(const std::string& key, const Quantity& quantity, const RecordReader& records);

  /// As `QuantityReader::read`.
  bool read(const RecordReader& record, double& time_s);
  std::string fault(const RecordReader& record) const { return quantity_.fault(record); }
  void write(const RecordReader& record, double time_s, TableWriter& table) const {
    if (wrapped_ > 0.0) {
      table.add_number<6>(time_s);
    } else {
      quantity_.write<6>(record, time_s, table);
    }
  }

 private:
  QuantityReader quantity_;
  double ticks_a_minute_ = 0.0;  ///< 0: a clock that does not wrap
  double wraps_at_ = 0.0;        ///< ticks
  double unit_s_ = 1.0;
  double last_ticks_ = 0.0;
  double wrapped_ = 0.0;  ///< ticks
};

}  // namespace wainscot
