#pragma once

// Tables of numbers as short text, for pages that carry their own data.

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace wainscot {

/// RFC 4648, section 4.
std::string base64(const std::vector<std::uint8_t>& bytes);

/// Numbers as a page's typed arrays read them: little-endian, as on every machine that this is built for.
template <typename Number>
std::string packed(const std::vector<Number>& numbers) {
  const auto* bytes = reinterpret_cast<const std::uint8_t*>(numbers.data());
  return base64({bytes, bytes + numbers.size() * sizeof(Number)});
}

/// Appends `value` as a zigzag base-128 varint, least significant group first: small numbers of either sign take one
/// byte. Source: Protocol Buffers Documentation, "Encoding", sections "Base 128 Varints" and "Signed Integers".
void append_varint(std::int64_t value, std::vector<std::uint8_t>& bytes);

/// A table in which each column counts in a unit of its own. What is packed is each number's difference from the one
/// above it, row by row, as varints: what changes slowly takes one byte a number.
class PackedTable {
 public:
  struct Column {
    std::string name;
    double unit = 1.0;  ///< a number stands for itself times this; > 0
  };

  explicit PackedTable(std::vector<Column> columns);

  /// One value a column, in the columns' order and in whole units' size, rounded to them. What is not finite becomes
  /// `unknown`. Throws std::invalid_argument where there are more or fewer.
  void add_row(const std::vector<double>& values);

  /// Of a value that is not finite, in units: far outside of what a house holds.
  static constexpr std::int64_t unknown = -1'000'000'000;

  const std::vector<Column>& columns() const { return columns_; }
  std::size_t rows() const { return rows_; }
  const std::vector<std::uint8_t>& bytes() const { return bytes_; }

 private:
  std::vector<Column> columns_;
  std::vector<std::int64_t> last_;
  std::vector<std::uint8_t> bytes_;
  std::size_t rows_ = 0;
};

}  // namespace wainscot
