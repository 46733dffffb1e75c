#include "graph/calibrate/missing_drives.hpp"

#include <algorithm>

namespace wainscot {

std::vector<std::string> missing_drives(const DriveCalibration& found) {
  std::vector<std::string> missing;
  const double turned = found.left_turn_rad + found.right_turn_rad;
  // For messages to people only, chosen by hand on simulated homes whose numbers were not kept: of all turning,
  // a quarter turn, and two metres.
  constexpr double kOneWay = 0.1;
  constexpr double kHardly_rad = 1.5;
  constexpr double kHardly_m = 2.0;
  const bool open_turns = !found.observed[kTrackWidth] || !found.observed[kLidarX] || !found.observed[kLidarY];
  if (turned < kHardly_rad) {
    missing.emplace_back(
        "The drive hardly turned, so it cannot show the track width, where the lidar sits (x_m, y_m) and how the two "
        "wheels differ; ten seconds would: turn on the spot once round to the left and once round to the right.");
  } else if (std::min(found.left_turn_rad, found.right_turn_rad) < kOneWay * turned) {
    const char* less = found.left_turn_rad < found.right_turn_rad ? "left" : "right";
    missing.push_back(std::string("The drive turned one way only, so a wheel that slips more in turns cannot be told "
                                  "from a wrong track width or y_m; ten seconds would show it: turn on the spot once "
                                  "round to the ") +
                      less + ".");
  } else if (open_turns) {
    missing.emplace_back(
        "The drive turned too little to show the track width and where the lidar sits (x_m, y_m); ten seconds would: "
        "turn on the spot twice round, once each way.");
  }
  if (found.straight_m < kHardly_m || !found.observed[kLidarHeading]) {
    missing.emplace_back(
        "The drive has hardly any straight, so it cannot show the metres a tick and the lidar's heading_deg well; ten "
        "seconds would: drive 3 m straight ahead, with walls in view.");
  }
  if (!found.observed[kClockOffset] && turned >= kHardly_rad) {
    missing.emplace_back(
        "The drive does not show the offset between the clocks; ten seconds would: turn on the spot to and fro, "
        "briskly, "
        "by a quarter turn each time.");
  }
  return missing;
}

}  // namespace wainscot
