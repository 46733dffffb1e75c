#include "io/convert/quantity_reader.hpp"

#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "io/convert/log_units.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr double kTicksOf32Bits = 4294967296.0;
constexpr double kTicksOfADay = 86400.0;   // of a clock that shows seconds
constexpr double kLatestLogTime_s = 1e11;  // as the drive's own tables may have

}  // namespace

QuantityReader::QuantityReader(std::string key, const Quantity& quantity, const RecordReader& records, double out_si,
                               double largest)
    : key_(std::move(key)), column_(quantity.column), largest_(largest) {
  const LogUnit* const unit = find_log_unit(quantity.unit);
  factor_ = quantity.sign * (unit != nullptr ? unit->si / out_si : 1.0);
  if (quantity.constant) {
    constant_ = true;
    offset_ = *quantity.constant * factor_;
    return;
  }
  place_ = records.place(quantity.column);
  offset_ = quantity.offset / out_si;
  as_logged_ = factor_ == 1.0 && offset_ == 0.0;
}

std::string QuantityReader::fault(const RecordReader& record) const {
  const std::string name = fmt::format("{} (column '{}')", key_, printable(column_));
  double value = 0.0;
  if (!record.has(place_)) return name + " is missing in this line";
  if (!record.number(place_, value) || std::isnan(value)) {
    return fmt::format("{} should be a number, but is '{}'", name, printable(record.text(place_)));
  }
  return fmt::format("{} is '{}', which is {:g} with its unit and more than can be; the unit may be another", name,
                     printable(record.text(place_)), value * factor_ + offset_);
}

TimeReader::TimeReader(const std::string& key, const Quantity& quantity, const RecordReader& records)
    : quantity_(key, quantity, records, 1.0, kLatestLogTime_s) {
  const LogUnit* const unit = find_log_unit(quantity.unit);
  if (quantity.unit == "ms" || quantity.unit == "us") wraps_at_ = kTicksOf32Bits;
  if (quantity.unit == "s") wraps_at_ = kTicksOfADay;
  unit_s_ = unit != nullptr ? unit->si : 1.0;
  if (quantity.sign > 0 && wraps_at_ > 0.0) ticks_a_minute_ = 60.0 / unit_s_;
}

bool TimeReader::read(const RecordReader& record, double& time_s) {
  double ticks = 0.0;
  if (!quantity_.read_logged(record, ticks) || !quantity_.from_logged(ticks, time_s)) return false;
  if (ticks_a_minute_ == 0.0) return true;
  // Only from its last minute into its first one; and back, since a line that was cut short may look just so.
  const auto in_first_minute = [this](double t) { return t >= 0.0 && t < ticks_a_minute_; };
  const auto in_last_minute = [this](double t) { return t < wraps_at_ && t > wraps_at_ - ticks_a_minute_; };
  if (in_last_minute(last_ticks_) && in_first_minute(ticks)) wrapped_ += wraps_at_;
  if (in_first_minute(last_ticks_) && in_last_minute(ticks) && wrapped_ > 0.0) wrapped_ -= wraps_at_;
  last_ticks_ = ticks;
  time_s += wrapped_ * unit_s_;
  return true;
}

}  // namespace wainscot
