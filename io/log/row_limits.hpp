#pragma once

// What a row of a log can mean, and what is in another unit: no sum of squares of what is within may overflow.

namespace wainscot {

constexpr double kLargestPosition_m = 1e8;   ///< a surveyor's grid coordinates have seven digits
constexpr double kLargestHeading_rad = 1e6;  ///< whole turns count
constexpr double kFullTurn_deg = 360.0;
constexpr double kRoundOff_deg = 1e-6;  ///< of angles that are written with six digits and more

}  // namespace wainscot
