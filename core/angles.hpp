#pragma once

#include <numbers>

namespace wainscot {

/// A degree in radians: `30 * kDegree` is an angle as the program keeps it.
constexpr double kDegree = std::numbers::pi / 180.0;

/// Degrees in a radian, for what people read.
constexpr double kDegreesPerRadian = 180.0 / std::numbers::pi;

}  // namespace wainscot
