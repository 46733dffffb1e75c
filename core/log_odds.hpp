#pragma once

#include <cmath>

namespace wainscot {

/// The probability whose odds against its opposite have this logarithm: 0.5 for 0.
inline float probability_of(double log_odds) { return static_cast<float>(1.0 / (1.0 + std::exp(-log_odds))); }

}  // namespace wainscot
