#pragma once

// A buffer between the wheels and the log that empties at once: rows wait in it and are then stamped nearly together,
// each with its right value.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "apps/simulator/defects.hpp"
#include "apps/simulator/random.hpp"

namespace wainscot::simulator {

constexpr double kEmptied_s = 0.010;  ///< within which a buffer's rows are stamped at the most

/// The knobs `odometry_holds_per_minute` and `odometry_hold_s`.
class HeldRows {
 public:
  HeldRows(const Defects& defects, std::uint64_t seed);

  bool any() const { return per_s_ > 0.0; }

  /// The stamps that rows get whose true times these are, rising; they rise as well. One call gives one drive's holds.
  std::vector<double> stamps(const std::vector<double>& times_s);

  /// Puts the stamps into rows with a `time_s`; nothing happens to none.
  template <typename Row>
  void hold(std::vector<Row>& rows) {
    if (rows.empty()) return;
    std::vector<double> times;
    times.reserve(rows.size());
    for (const Row& row : rows) times.push_back(row.time_s);
    const std::vector<double> late = stamps(times);
    for (std::size_t i = 0; i < rows.size(); ++i) rows[i].time_s = late[i];
  }

 private:
  Knob hold_s_;
  Random random_;
  double per_s_ = 0.0;
};

}  // namespace wainscot::simulator
