#pragma once

#include <string>

#include "io/convert/column_guess.hpp"

namespace wainscot {

/// A robot.yaml to begin with (io/convert/starter_robot.hpp) with what the guess found of the robot in the place of
/// what is to be measured.
std::string guessed_robot_yaml(const ColumnGuess& guess);

}  // namespace wainscot
