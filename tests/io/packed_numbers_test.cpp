#include "io/packed_numbers.hpp"

#include <cmath>
#include <cstdint>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

std::vector<std::uint8_t> bytes_of(const std::string& text) { return {text.begin(), text.end()}; }

std::vector<std::uint8_t> varint(std::int64_t value) {
  std::vector<std::uint8_t> bytes;
  append_varint(value, bytes);
  return bytes;
}

// The test vectors of RFC 4648, section 10.
TEST(PackedNumbers, Base64IsTheRfcs) {
  EXPECT_EQ(base64(bytes_of("")), "");
  EXPECT_EQ(base64(bytes_of("f")), "Zg==");
  EXPECT_EQ(base64(bytes_of("fo")), "Zm8=");
  EXPECT_EQ(base64(bytes_of("foo")), "Zm9v");
  EXPECT_EQ(base64(bytes_of("foob")), "Zm9vYg==");
  EXPECT_EQ(base64(bytes_of("fooba")), "Zm9vYmE=");
  EXPECT_EQ(base64(bytes_of("foobar")), "Zm9vYmFy");
}

// Protocol Buffers Documentation, "Encoding": 150 is 96 01 as a varint; zigzag makes 0, -1, 1, -2 of 0, 1, 2, 3 and
// 4294967294 of 0x7fffffff.
TEST(PackedNumbers, VarintsAreProtocolBuffers) {
  EXPECT_EQ(varint(75), (std::vector<std::uint8_t>{0x96, 0x01}));
  EXPECT_EQ(varint(0), (std::vector<std::uint8_t>{0}));
  EXPECT_EQ(varint(-1), (std::vector<std::uint8_t>{1}));
  EXPECT_EQ(varint(1), (std::vector<std::uint8_t>{2}));
  EXPECT_EQ(varint(-2), (std::vector<std::uint8_t>{3}));
  EXPECT_EQ(varint(0x7fffffff), (std::vector<std::uint8_t>{0xfe, 0xff, 0xff, 0xff, 0x0f}));
}

TEST(PackedNumbers, ATableHoldsDifferencesInUnits) {
  PackedTable table({{"x_m", 0.01}, {"count", 1.0}});
  table.add_row({1.004, 5.0});
  table.add_row({0.99, 5.0});
  EXPECT_EQ(table.rows(), 2U);
  // 100, 5; then -1, 0; each doubled or 2 |n| - 1.
  EXPECT_EQ(table.bytes(), (std::vector<std::uint8_t>{0xc8, 0x01, 10, 1, 0}));
}

TEST(PackedNumbers, WhatIsNotFiniteIsUnknown) {
  PackedTable table({{"x", 1.0}});
  table.add_row({std::numeric_limits<double>::quiet_NaN()});
  EXPECT_EQ(table.bytes(), varint(PackedTable::unknown));
}

TEST(PackedNumbers, ARowHasAValueForEachColumn) {
  PackedTable table({{"x", 1.0}});
  EXPECT_THROW(table.add_row({1.0, 2.0}), std::invalid_argument);
}

}  // namespace
}  // namespace wainscot
