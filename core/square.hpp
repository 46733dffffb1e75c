#pragma once

namespace wainscot {

constexpr double square(double value) { return value * value; }

}  // namespace wainscot
