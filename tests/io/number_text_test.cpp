#include "io/number_text.hpp"

#include <clocale>
#include <cmath>
#include <limits>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(NumberText, FixedHasNoNegativeZero) {
  EXPECT_EQ(fixed_text(-0.0000004, 6), "0.000000");
  EXPECT_EQ(fixed_text(-0.0000006, 6), "-0.000001");
  EXPECT_EQ(fixed_text(-0.4, 0), "0");
  EXPECT_EQ(fixed_text(1700000000.123456, 6), "1700000000.123456");
}

TEST(NumberText, ShortDropsTrailingZeros) {
  EXPECT_EQ(short_text(0.05, 9), "0.05");
  EXPECT_EQ(short_text(0.05 * -37, 9), "-1.85");
  EXPECT_EQ(short_text(100.0, 3), "100");
  EXPECT_EQ(short_text(-0.0, 3), "0");
  EXPECT_EQ(short_text(std::numeric_limits<double>::infinity(), 3), "inf");
}

TEST(NumberText, RoundedIsTheNearestDouble) {
  EXPECT_EQ(rounded(0.1 + 0.2, 9), 0.3);
  EXPECT_TRUE(std::isnan(rounded(std::numeric_limits<double>::quiet_NaN(), 3)));
}

TEST(NumberText, LengthsChooseTheirUnit) {
  EXPECT_EQ(length_text(0.00084), "0.8 mm");
  EXPECT_EQ(length_text(0.012), "12 mm");
  EXPECT_EQ(length_text(0.0996), "0.10 m");
  EXPECT_EQ(length_text(1.234), "1.23 m");
  EXPECT_EQ(length_text(123.44), "123.4 m");
  EXPECT_EQ(length_text(std::numeric_limits<double>::quiet_NaN()), "unknown");
}

TEST(NumberText, AnglesDurationsPercentCounts) {
  EXPECT_EQ(angle_text(std::acos(-1.0) / 180.0), "1.00°");
  EXPECT_EQ(angle_text(std::acos(-1.0)), "180.0°");
  EXPECT_EQ(duration_text(59.4), "59 s");
  EXPECT_EQ(duration_text(59.6), "1 min 00 s");
  EXPECT_EQ(duration_text(312.0), "5 min 12 s");
  EXPECT_EQ(duration_text(3725.0), "1 h 02 min");
  EXPECT_EQ(percent_text(0.0012), "0.12 %");
  EXPECT_EQ(percent_text(0.97), "97 %");
  EXPECT_EQ(count_text(1, "scan"), "1 scan");
  EXPECT_EQ(count_text(1234567, "scan"), "1,234,567 scans");
}

// JCGM 100:2008, 7.2.6: an uncertainty of at most two significant digits, the value rounded to match; its example
// y = 10.05762 with u_c = 0.027 becomes 10.058.
TEST(NumberText, UncertaintySetsTheDigits) {
  EXPECT_EQ(uncertain_text(10.05762, 0.027).value, "10.058");
  EXPECT_EQ(uncertain_text(10.05762, 0.027).sd, "0.027");
  EXPECT_EQ(uncertain_text(1234.5, 87.0).value, "1234");
  EXPECT_EQ(uncertain_text(0.5, 0.0).value, "0.5");
}

TEST(NumberText, CountsInThousands) {
  EXPECT_EQ(whole_text(0), "0");
  EXPECT_EQ(whole_text(999), "999");
  EXPECT_EQ(whole_text(1234567), "1,234,567");
}

}  // namespace
}  // namespace wainscot
