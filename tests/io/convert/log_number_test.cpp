#include "io/convert/log_number.hpp"

#include <cmath>
#include <string_view>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// NaN: it is no number.
double number(std::string_view cell, Separator separator = Separator::blanks) {
  double value = 0.0;
  return read_log_number(cell, separator, value) ? value : std::nan("");
}

TEST(LogNumber, PointOrCommaAndNothing) {
  double value = 0.0;
  EXPECT_TRUE(read_log_number("-1.25", Separator::comma, value));
  EXPECT_EQ(value, -1.25);
  EXPECT_TRUE(read_log_number("1,25", Separator::semicolon, value));
  EXPECT_EQ(value, 1.25);
  EXPECT_FALSE(read_log_number("1,25", Separator::comma, value));
  EXPECT_FALSE(read_log_number("1,2,5", Separator::tab, value));
  EXPECT_FALSE(read_log_number("1.2,5", Separator::tab, value));
  EXPECT_FALSE(read_log_number("12a", Separator::tab, value));
  for (const char* none : {"", "nan", "-inf", "INF"}) {
    EXPECT_TRUE(read_log_number(none, Separator::comma, value));
    EXPECT_TRUE(std::isnan(value)) << none;
  }
}

TEST(LogNumber, ANameBeforeItAndBracketsAroundItDoNotCount) {
  EXPECT_EQ(number("L=-1204"), -1204.0);
  EXPECT_EQ(number("enc.left:12.5"), 12.5);
  EXPECT_EQ(number("R: 7", Separator::comma), 7.0);
  EXPECT_EQ(number("d=1,5"), 1.5);
  EXPECT_EQ(number("[00123]"), 123.0);
  EXPECT_EQ(number("[t=12]"), 12.0);
  EXPECT_EQ(name_in_cell("enc.left=12"), "enc.left");
  for (const char* none : {"L=", "=12", "L=x", "2=12", "left 12", "a b=12", "[INFO]", "L=1=2", "[12"}) {
    EXPECT_TRUE(std::isnan(number(none))) << none;
  }
}

TEST(LogNumber, ATimeOfDayIsSeconds) {
  EXPECT_DOUBLE_EQ(number("00:00:00"), 0.0);
  EXPECT_DOUBLE_EQ(number("23:57:00.125"), 86220.125);
  EXPECT_DOUBLE_EQ(number("9:05:01,5"), 32701.5);
  EXPECT_DOUBLE_EQ(number("t=9:05:01,5"), 32701.5);
  EXPECT_DOUBLE_EQ(number("[09:05:01]", Separator::comma), 32701.0);
  for (const char* none :
       {"24:00:00", "12:60:00", "12:00:61", "12:00", "12:0:00", "12:00:00.", "12:00:00x", "1:2:3:4"}) {
    EXPECT_TRUE(std::isnan(number(none))) << none;
  }
}

// The seconds are those of `date -u -d ... +%s` of the GNU core utilities.
TEST(LogNumber, ADateBeforeItCountsFrom1970) {
  EXPECT_DOUBLE_EQ(number("1970-01-01T00:00:00Z"), 0.0);
  EXPECT_DOUBLE_EQ(number("2026-11-28T14:44:33.5Z"), 1795877073.5);
  EXPECT_DOUBLE_EQ(number("2026-11-28 14:44:33"), 1795877073.0);
  EXPECT_DOUBLE_EQ(number("2024/02/29 12:00:00"), 1709208000.0);
  EXPECT_DOUBLE_EQ(number("2026-11-28T15:44:33+01:00"), 1795877073.0);
  EXPECT_DOUBLE_EQ(number("2026-11-28T15:44:33+01"), 1795877073.0);
  EXPECT_DOUBLE_EQ(number("2026-11-28T11:14:33-0330"), 1795877073.0);
  for (const char* none :
       {"2026-02-30T12:00:00", "2026-11-28", "2026-11-28T", "2026-11-28T12:00:00+1", "26-11-28 1:00:00"}) {
    EXPECT_TRUE(std::isnan(number(none))) << none;
  }
}

}  // namespace
}  // namespace wainscot
