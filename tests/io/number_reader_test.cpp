#include "io/number_reader.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <random>

namespace wainscot {
namespace {

TEST(NumberReader, FormsThatAreNumbers) {
  const std::pair<const char*, double> cases[] = {
      {"0", 0.0},
      {"7", 7.0},
      {"-7", -7.0},
      {"+7", 7.0},
      {"1.25", 1.25},
      {"-0.001", -1e-3},
      {"5.", 5.0},
      {".5", 0.5},
      {"8.5e-5", 8.5e-5},
      {"1E3", 1000.0},
      {"000.100", 0.1},
      {"1e308", 1e308},
      {"1732600000.123456789", 1732600000.123456789},
  };
  for (const auto& [text, expected] : cases) {
    double value = -99.0;
    EXPECT_EQ(read_number(text, value), NumberFault::none) << text;
    EXPECT_EQ(value, expected) << text;
  }
}

TEST(NumberReader, FormsThatAreNot) {
  const std::pair<std::string, NumberFault> cases[] = {
      {"", NumberFault::empty},
      {"abc", NumberFault::not_a_number},
      {"1,5", NumberFault::not_a_number},
      {"1.2.3", NumberFault::not_a_number},
      {"1 2", NumberFault::not_a_number},
      {"-", NumberFault::not_a_number},
      {".", NumberFault::not_a_number},
      {"+-1", NumberFault::not_a_number},
      {"--1", NumberFault::not_a_number},
      {"0x10", NumberFault::not_a_number},
      {"1e", NumberFault::not_a_number},
      {std::string("1\0", 2), NumberFault::not_a_number},
      {"nan", NumberFault::not_finite},
      {"-nan", NumberFault::not_finite},
      {"NaN", NumberFault::not_finite},
      {"inf", NumberFault::not_finite},
      {"+INF", NumberFault::not_finite},
      {"infinity", NumberFault::not_finite},
      {"1e999", NumberFault::out_of_range},
      {std::string(41, '1'), NumberFault::overlong},
      {std::string(100'000, '0'), NumberFault::overlong},
  };
  for (const auto& [text, expected] : cases) {
    double value = -99.0;
    EXPECT_EQ(read_number(text, value), expected) << text;
    EXPECT_EQ(value, -99.0) << text;
  }
}

// The C library's strtod rounds correctly (ISO C 7.22.1.3, IEEE 754).
TEST(NumberReader, RoundsAsTheCLibraryDoes) {
  std::mt19937_64 random(7);
  for (int i = 0; i < 200'000; ++i) {
    char text[64];
    const int decimals = static_cast<int>(random() % 12);
    const double drawn = std::ldexp(static_cast<double>(random() % (1ull << 53)), -static_cast<int>(random() % 60));
    std::snprintf(text, sizeof(text), random() % 8 == 0 ? "%.*e" : "%.*f", decimals, drawn);
    double value = 0.0;
    if (std::string_view(text).size() > 40) continue;
    ASSERT_EQ(read_number(text, value), NumberFault::none) << text;
    ASSERT_EQ(value, std::strtod(text, nullptr)) << text;
  }
}

TEST(NumberReader, WholeNumbers) {
  std::int64_t value = 0;
  EXPECT_EQ(read_whole_number("-9223372036854775808", value), NumberFault::none);
  EXPECT_EQ(value, std::numeric_limits<std::int64_t>::min());
  EXPECT_EQ(read_whole_number("+12", value), NumberFault::none);
  EXPECT_EQ(value, 12);
  EXPECT_EQ(read_whole_number("9223372036854775808", value), NumberFault::out_of_range);
  EXPECT_EQ(read_whole_number("1.0", value), NumberFault::not_a_number);
  EXPECT_EQ(read_whole_number("1e3", value), NumberFault::not_a_number);
  EXPECT_EQ(read_whole_number("", value), NumberFault::empty);
}

TEST(NumberReader, RangesKnowNoReturn) {
  double value = -1.0;
  for (const char* text : {"", "nan", "NaN", "-nan", "inf", "-inf", "0", "0.000", "-0.0"}) {
    EXPECT_EQ(read_range(text, value), NumberFault::none) << text;
    EXPECT_EQ(value, 0.0) << text;
  }
  EXPECT_EQ(read_range("2.5", value), NumberFault::none);
  EXPECT_EQ(value, 2.5);
  EXPECT_EQ(read_range("-2.5", value), NumberFault::negative);
  EXPECT_EQ(read_range("none", value), NumberFault::not_a_number);
}

TEST(NumberReader, ExplanationsSayWhatToDo) {
  EXPECT_NE(explain(NumberFault::not_a_number, "1,5").find("decimal point"), std::string::npos);
  EXPECT_NE(explain(NumberFault::not_a_number, std::string_view("1\0", 2)).find("NUL"), std::string::npos);
  EXPECT_NE(explain(NumberFault::overlong, std::string(99, '1')).find("99 characters"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
