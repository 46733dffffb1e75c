#pragma once

// From where on a figure of the finished map is a doubt: the same for the verdict and for the warnings.

#include "graph/map.hpp"

namespace wainscot {

inline constexpr double kManyOnWalls = 0.85;   ///< of the returns; good maps have 0.9 and more
inline constexpr double kNotJoinedM = 5.0;     ///< nothing but a broken odometry leaves a place so unsure
inline constexpr double kLooseM = 0.1;         ///< standard uncertainty of a place against the whole: two cells
inline constexpr double kMuchLeftOpenM = 3.0;  ///< of the way
inline constexpr double kPoorScale = 0.005;    ///< a room of 5 m may be 5 cm off then, a cell of the grid (95 %)

/// False where a width, a wheel or a scale came out with another sign than stated, or off by a factor of two, which
/// nobody's tape is: something else is wrong in robot.yaml or in the log.
bool is_possible(const RefinedConstant& constant);

}  // namespace wainscot
