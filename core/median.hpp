#pragma once

#include <vector>

namespace wainscot {

/// The middle value; of an even number of values the greater of the two in the middle; 0 of none. Unit as the values.
double median(std::vector<double> values);

}  // namespace wainscot
