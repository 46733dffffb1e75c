#pragma once

#include <vector>

namespace wainscot {

/// The median of |x| for a standard normal x, to four digits: a standard deviation by a median is good to per cents.
inline constexpr double kMedianOfNormal = 0.6745;

/// The middle value; of an even number of values the greater of the two in the middle; 0 of none. Unit as the values.
double median(std::vector<double> values);

/// The value that a share of the others, 0..1, are less than; 0 of none. Of 0.5 the median. Unit as the values.
double quantile(std::vector<double> values, double share);

}  // namespace wainscot
