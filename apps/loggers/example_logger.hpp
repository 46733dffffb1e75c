#pragma once

// Small programs for a robot that record a drive in the form that io/FORMATS.md describes.

#include <string_view>

namespace wainscot {

/// The text of a whole program: "python" and "c" are for the robot's computer, which writes the drive folder from what
/// serial lines say; "arduino" is for the controller that counts the wheels and prints one of those lines. Throws
/// `InputError`, which names these three, for any other name.
std::string_view example_logger(std::string_view name);

}  // namespace wainscot
