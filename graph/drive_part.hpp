#pragma once

// Several recordings in one: which part of it is which. A recording of one drive has no parts.

#include <cstddef>
#include <string>
#include <vector>

namespace wainscot {

struct DrivePart {
  std::string name;            ///< of the drive, for people
  std::size_t first_scan = 0;  ///< index into the joined recording's scans; the part ends where the next one begins
  double from_s = 0.0;         ///< before all of its times and behind all of the part before, joined recording's clock
  double shift_s = 0.0;        ///< time in the joined recording - time of the drive's own clock
  bool nodes_only = false;     ///< its scans are the nodes of a map that is extended, and each of them stays one
};

/// The part that a scan belongs to; 0 where there are no parts.
std::size_t part_of_scan(const std::vector<DrivePart>& parts, std::size_t scan);

/// The part that a time of the joined recording belongs to; 0 where there are no parts.
std::size_t part_at(const std::vector<DrivePart>& parts, double time_s);

}  // namespace wainscot
