#pragma once

// Recordings made into others, whose reference is known as well: what a rule that was chosen with the recordings in
// sight is worth on one that it has not seen.

#include <string>
#include <vector>

#include "core/drive.hpp"

namespace wainscot::bench {

/// Names of the alterations, for people.
std::vector<std::string> alterations();

/// mirrored: everything seen in a mirror. scaled-odometry: ways 7 % too short, turns 8 % too large. drifting-odometry:
/// 1.7 degrees a metre to the left, and noise of 2.9 degrees by the root of a radian turned or of 3.3 m driven.
/// noisy-ranges: by 3 cm (standard deviation). short-ranges: nothing beyond 12 m. fewer-beams: every second one.
/// fewer-scans: every second one. first-half, second-half: of the time.
/// Of drives with odometry.csv. `reference`: as read with the drive, altered with it. Throws `InputError` for a name
/// that is none of these and for a drive without poses.
Drive altered(Drive drive, std::vector<TimedPose>& reference, const std::string& alteration);

}  // namespace wainscot::bench
