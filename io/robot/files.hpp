#pragma once

// The text files of io/robot/, as the build put them into this one.

#include <string_view>

namespace wainscot {

/// A robot.yaml to begin with: every key, commented out, with its default and what it means.
std::string_view starter_yaml();

}  // namespace wainscot
