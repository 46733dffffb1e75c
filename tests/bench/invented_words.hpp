#pragma once

// What people who wrote loggers might have called things, in several spirits. All invented.

#include <string>
#include <vector>

namespace wainscot::bench {

struct InventedWords {
  std::string spirit;
  std::string time, left, right;
  std::string x, y, heading, yaw_rate;
  std::string ranges;  ///< of a range's column or an array's
  std::string start, step, end;
  std::string angle, number, range;
  std::string strength, battery, temperature, power_left, power_right, checksum, bumper, counter;
  std::string message;  ///< the name of what tells messages apart
  std::string wheel_message, scan_message, gyro_message;
};

/// Those that the guess was developed with, or with `scoring` those that only scoring draws from too.
std::vector<InventedWords> invented_words(bool scoring);

}  // namespace wainscot::bench
