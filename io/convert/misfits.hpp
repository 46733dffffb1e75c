#pragma once

// Lines that do not fit what columns.yaml says. A few in a long log are a serial line's noise, which must not stop a
// conversion; many mean that columns.yaml is wrong.

#include <cstddef>
#include <string>
#include <vector>

#include "io/convert/log_lines.hpp"

namespace wainscot {

class Misfits {
 public:
  /// `section` of columns.yaml, or empty for lines that are damaged as a whole.
  explicit Misfits(std::string section) : section_(std::move(section)) {}

  void count_fitting() { ++fitting_; }

  /// The line that was read last does not fit. Throws `InputError` where none of the first ten did.
  void count(const LogLines& lines, const std::string& what);

  /// Tells of them in `warnings`, the first one named. Throws `InputError` where there are too many: more than one in a
  /// hundred, and more than three: each time that a logger begins or stops it may cut a line.
  void finish(std::vector<std::string>& warnings) const;

  std::size_t misfits() const { return misfits_; }
  std::size_t fitting() const { return fitting_; }

 private:
  [[noreturn]] void fail() const;

  std::string section_;
  std::size_t fitting_ = 0;
  std::size_t misfits_ = 0;
  std::string first_;
};

}  // namespace wainscot
