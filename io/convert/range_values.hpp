#pragma once

// What a lidar's logged numbers tell by themselves: which of them mean "nothing answered", and the unit of the others.

#include <string>
#include <vector>

namespace wainscot {

struct RangeValues {
  std::vector<double> no_return;  ///< logged values besides 0 and below
  std::string no_return_why;      ///< empty where there are none
  std::string unit;               ///< m, cm or mm
  double unit_m = 1.0;
  int percent = 0;  ///< how sure the unit is
  std::vector<std::string> other_units;
  std::string unit_why;
};

/// `values`: as logged, in any order; NaN, 0 and below are left out.
RangeValues guess_range_values(std::vector<double> values);

}  // namespace wainscot
