#pragma once

// Where a log of wheels or of poses began anew, jumped, or holds a row that no robot could have driven.

#include <algorithm>
#include <cstddef>
#include <functional>
#include <string>
#include <vector>

namespace wainscot {

/// A step from one row to the next: its time and how far the robot's fastest part moved.
struct LogStep {
  double time_s = 0.0;
  double way_m = 0.0;
  double turn_rad = 0.0;
};

/// What a log of either kind must answer about its rows.
struct LogView {
  std::size_t size = 0;
  std::function<LogStep(std::size_t from, std::size_t to)> step;
  std::function<double(std::size_t row)> from_origin_m;  ///< distance from where a log begins after a restart
  std::function<double(std::size_t row)> time_s;
};

struct MotionBreaks {
  std::vector<std::size_t> at;        ///< the step to this row is not known
  std::vector<std::size_t> outliers;  ///< this row alone is wrong, the steps over it are known
};

/// The drive's own ordinary speeds say what is possible in a step. A step beyond it is a break, or an outlier where the
/// log goes on behind it as if nothing had been; a step back to the origin is a restart.
MotionBreaks find_breaks(const LogView& log);

/// One line a break, at most five, and one for the outliers. `what`: "the counters restarted or jumped".
void warn_of_breaks(const MotionBreaks& breaks, const LogView& log, const std::string& file, const std::string& what,
                    std::vector<std::string>& warnings);

/// Leaves the outliers out of the rows; `breaks.at` then counts the rows that are left.
template <typename Row>
void remove_outliers(std::vector<Row>& rows, MotionBreaks& breaks) {
  if (breaks.outliers.empty()) return;
  std::size_t kept = 0;
  std::size_t next = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (next < breaks.outliers.size() && breaks.outliers[next] == i) {
      ++next;
    } else {
      rows[kept++] = rows[i];
    }
  }
  rows.resize(kept);
  for (std::size_t& at : breaks.at) {
    at -= static_cast<std::size_t>(std::lower_bound(breaks.outliers.begin(), breaks.outliers.end(), at) -
                                   breaks.outliers.begin());
  }
}

}  // namespace wainscot
