#pragma once

// The wheels' counts at any time.

#include <cstddef>
#include <utility>
#include <vector>

#include "core/drive.hpp"

namespace wainscot {

/// Counts or changes of counts, fractions of ticks included.
struct Ticks {
  double left = 0.0;
  double right = 0.0;
};

class TickClock {
 public:
  /// At least one row; copied.
  explicit TickClock(std::vector<WheelCounts> wheels) : wheels_(std::move(wheels)) {}

  double begin_s() const { return wheels_.front().time_s; }
  double end_s() const { return wheels_.back().time_s; }

  /// Linear between rows; the nearest row's outside.
  Ticks at(double time_s) const;

  /// The changes from one time to a later one, cut at the rows in between: a path is integrated along them.
  std::vector<Ticks> pieces(double begin_s, double end_s) const;

 private:
  Ticks row(std::size_t i) const;
  std::size_t index_after(double time_s) const;

  std::vector<WheelCounts> wheels_;
};

}  // namespace wainscot
