#include "io/convert/clock_choice.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

MotionRecords records_with(double offset_s, bool own_clock, std::size_t file) {
  MotionRecords records;
  records.file = file;
  records.own_clock = own_clock;
  records.clock.offset_s = offset_s;
  records.clock.explained = 0.95;
  return records;
}

std::size_t told(const ChosenMotion& motion, ChosenClocks& clocks) {
  const AskUser nobody;
  GuessItems items(nobody);
  clocks = choose_clocks(motion, items);
  return items.finish("scans", "wheels").size();
}

TEST(ClockChoice, ADelayIsNoClockOfItsOwn) {
  ChosenMotion motion;
  motion.all.wheels.emplace_back().records = records_with(0.1, false, 0);
  ChosenClocks clocks;
  EXPECT_EQ(told(motion, clocks), 0U);
  EXPECT_EQ(clocks.scans_offset_s, 0.0);
}

TEST(ClockChoice, ScansAndGyroAreBroughtToTheWheelsClock) {
  ChosenMotion motion;
  motion.all.wheels.emplace_back().records = records_with(1200.0, true, 0);
  motion.all.gyros.emplace_back().records = records_with(0.0, false, 1);  // the lidar's clock
  ChosenClocks clocks;
  EXPECT_EQ(told(motion, clocks), 2U);
  EXPECT_EQ(clocks.scans_offset_s, 1200.0);
  EXPECT_EQ(clocks.gyro_offset_s, 1200.0);
  motion.all.gyros[0].records = records_with(1200.0, true, 0);  // beside the wheels
  EXPECT_EQ(told(motion, clocks), 1U);
  EXPECT_EQ(clocks.gyro_offset_s, 0.0);
}

TEST(ClockChoice, WithoutWheelsTheLidarsClockCounts) {
  ChosenMotion motion;
  motion.all.gyros.emplace_back().records = records_with(-7.0, true, 1);
  ChosenClocks clocks;
  EXPECT_EQ(told(motion, clocks), 1U);
  EXPECT_EQ(clocks.gyro_offset_s, 7.0);
}

}  // namespace
}  // namespace wainscot
