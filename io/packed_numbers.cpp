#include "io/packed_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace wainscot {

std::string base64(const std::vector<std::uint8_t>& bytes) {
  constexpr const char* alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const std::size_t given = std::min<std::size_t>(3, bytes.size() - i);
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 3; ++k) group = group << 8 | (k < given ? bytes[i + k] : 0U);
    for (std::size_t k = 0; k < 4; ++k) {
      text.push_back(k <= given ? alphabet[group >> (18 - 6 * k) & 63U] : '=');
    }
  }
  return text;
}

void append_varint(std::int64_t value, std::vector<std::uint8_t>& bytes) {
  auto left = static_cast<std::uint64_t>(value) << 1 ^ static_cast<std::uint64_t>(value >> 63);
  while (left >= 0x80) {
    bytes.push_back(static_cast<std::uint8_t>(left | 0x80));
    left >>= 7;
  }
  bytes.push_back(static_cast<std::uint8_t>(left));
}

PackedTable::PackedTable(std::vector<Column> columns) : columns_(std::move(columns)), last_(columns_.size(), 0) {}

void PackedTable::add_row(const std::vector<double>& values) {
  if (values.size() != columns_.size()) throw std::invalid_argument("a row has one value for each column");
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double in_units = values[i] / columns_[i].unit;
    // Beyond 10^15 a browser's numbers no longer hold every whole one.
    const bool usable = std::abs(in_units) < 1e15;
    const std::int64_t number = usable ? std::llround(in_units) : unknown;
    append_varint(number - last_[i], bytes_);
    last_[i] = number;
  }
  ++rows_;
}

}  // namespace wainscot
