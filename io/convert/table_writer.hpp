#pragma once

// A table that is written row by row in bounded memory, its rows in the order of time.

#include <array>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include "io/files/descriptor.hpp"

namespace wainscot {

/// "00" to "99" behind each other: two digits cost one division.
inline constexpr std::array<char, 200> kDigitPairs = [] {
  std::array<char, 200> pairs{};
  for (std::size_t i = 0; i < 100; ++i) {
    pairs[2 * i] = static_cast<char>('0' + i / 10);
    pairs[2 * i + 1] = static_cast<char>('0' + i % 10);
  }
  return pairs;
}();

class TableWriter {
 public:
  /// Makes a new file. Throws std::runtime_error with the system's reason where that cannot be done.
  explicit TableWriter(const std::filesystem::path& file);

  /// Into what is open for writing, such as a pipe.
  explicit TableWriter(Descriptor open);

  /// Text before the first row.
  void add_header(std::string_view text);

  /// Begins a row, or several of one time; `most_bytes` have room in it. False: its time lies before that of a row that
  /// is written already, so that there is none. A row that is ahead of the next one, which fits behind the row before,
  /// is taken back: one number that is damaged loses its own row, not all rows after it.
  bool begin_row(double time_s, std::size_t most_bytes);

  // What a row consists of.
  void add(std::string_view text) {
    std::memcpy(buffer_.data() + size_, text.data(), text.size());
    size_ += text.size();
  }
  void add(char character) { buffer_[size_++] = character; }
  /// With at most so many decimals, without zeros at their end. Finite values only.
  template <int decimals>
  void add_number(double value);
  void add_whole_number(std::int64_t value) { end_at(std::to_chars(at(), at() + kLongestNumberText, value).ptr); }

  /// Hands on all rows that were begun, which cannot be taken back any more: a row behind them in time is left out.
  /// Throws std::runtime_error.
  void write_rows();

  /// Brings everything to the disk (fsync). Throws std::runtime_error.
  void finish();

  std::size_t rows() const { return rows_; }          ///< that `begin_row` began and did not take back
  std::size_t left_out() const { return left_out_; }  ///< since their times went back
  double first_s() const { return first_s_; }
  double last_s() const { return last_s_; }

  static constexpr std::size_t kLongestNumberText = 40;

 private:
  char* at() { return buffer_.data() + size_; }
  void end_at(const char* end) { size_ = static_cast<std::size_t>(end - buffer_.data()); }
  void write_out();

  Descriptor descriptor_;
  std::vector<char> buffer_;
  std::size_t size_ = 0;       ///< of what is in the buffer
  std::size_t row_begin_ = 0;  ///< of the last row, which may be taken back
  std::size_t rows_ = 0;
  std::size_t left_out_ = 0;
  double first_s_ = 0.0;
  double before_last_s_ = -std::numeric_limits<double>::infinity();
  double last_s_ = -std::numeric_limits<double>::infinity();
};

template <int decimals>
void TableWriter::add_number(double value) {
  static_assert(decimals > 0 && decimals < 10);
  constexpr std::uint64_t unit = [] {
    std::uint64_t power = 1;
    for (int i = 0; i < decimals; ++i) power *= 10;
    return power;
  }();
  constexpr double largest = 9e15;  // whole numbers up to 2^53 are exact
  const double scaled = std::abs(value) * static_cast<double>(unit);
  if (!(scaled < largest)) return end_at(std::to_chars(at(), at() + kLongestNumberText, value).ptr);
  const auto digits = static_cast<std::uint64_t>(scaled + 0.5);
  if (value < 0.0 && digits > 0) add('-');
  const std::uint64_t whole = digits / unit;
  if (whole < 10) {
    add(static_cast<char>('0' + whole));  // as nearly all ranges in metres
  } else {
    end_at(std::to_chars(at(), at() + kLongestNumberText, whole).ptr);
  }
  auto rest = static_cast<std::uint32_t>(digits % unit);  // divided faster than 64 bits
  if (rest == 0) return;
  char* const point = at();
  *point = '.';
  int place = decimals;
  for (; place > 1; place -= 2, rest /= 100) std::memcpy(point + place - 1, &kDigitPairs[2 * (rest % 100)], 2);
  if (place == 1) point[1] = static_cast<char>('0' + rest);
  const char* end = point + decimals + 1;
  while (end[-1] == '0') --end;
  end_at(end);
}

}  // namespace wainscot
