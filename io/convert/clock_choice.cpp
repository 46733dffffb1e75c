#include "io/convert/clock_choice.hpp"

#include <cmath>
#include <string>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double kWorthSaying_s = 0.3;  // less is a delay, which the map's making finds to a millisecond

bool differs(const MotionRecords& records) {
  return records.own_clock || std::abs(records.clock.offset_s) > kWorthSaying_s;
}

void tell_clock(ItemSection section, const std::string& what, double offset_s, const MotionRecords& by,
                GuessItems& items) {
  items.tell(section, {what,
                       fmt::format("{} s are added", short_text(offset_s, 3)),
                       fmt::format("the files have clocks of their own, and turns agree best so: {} explained, "
                                   "standard uncertainty {} s",
                                   percent_text(by.clock.explained), short_text(by.clock.offset_sd_s, 4)),
                       by.clock.explained > 0.9 ? 97 : 85,
                       {}});
}

}  // namespace

ChosenClocks choose_clocks(const ChosenMotion& motion, GuessItems& items) {
  ChosenClocks clocks;
  const MotionRecords* const records = motion.records();
  if (records != nullptr && differs(*records)) {
    clocks.scans_offset_s = records->lidar_offset_s();
    tell_clock(ItemSection::lidar, "clock of the scans", clocks.scans_offset_s, *records, items);
  }
  if (motion.gyro() == nullptr) return clocks;
  const MotionRecords& gyro = motion.gyro()->records;
  const bool beside_motion = records != nullptr && records->file == gyro.file;
  const double offset_s = clocks.scans_offset_s - (differs(gyro) ? gyro.lidar_offset_s() : 0.0);
  if (beside_motion || std::abs(offset_s) < kWorthSaying_s) return clocks;
  clocks.gyro_offset_s = offset_s;
  tell_clock(ItemSection::gyro, "clock of the gyro", offset_s, gyro, items);
  return clocks;
}

}  // namespace wainscot
