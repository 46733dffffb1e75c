#pragma once

// Which of the places that are followed side by side are kept, and which may be believed (place_evidence.hpp has the
// odds).

#include <vector>

#include "core/pose2.hpp"
#include "graph/known/locator_options.hpp"
#include "graph/known/place_track.hpp"

namespace wainscot {

/// The best first; places that became one, that fit worse by far than the best, and hopeless ones are given up.
std::vector<PlaceTrack> kept_tracks(std::vector<PlaceTrack> tracks, const LocatorOptions& options);

/// Whether what was seen fits the map at a place.
bool fits(const PlaceTrack& track, const LocatorOptions& options);

/// Whether the standard deviations of the pose are as small as of a place called found, or `times` as large.
bool is_within(const Eigen::Matrix3d& covariance, double times, const LocatorOptions& options);

/// Whether a heading of this variance, `common_sd` left out, is sure enough to be called found.
bool is_heading_told(double variance_rad2, const LocatorOptions& options);

/// Whether a place that lies so far from another is off by more than an answer may be.
bool is_aside(const Pose2& from_other, const LocatorOptions& options);

/// Whether what was seen fits the map at the first of the tracks, which are sorted as kept_tracks() does, and its pose
/// is known well enough to follow the robot there. `speed`: of the robot, see PlaceTrack::covariance_at(). Another
/// place may fit as well.
bool is_plausible(const std::vector<PlaceTrack>& tracks, const Tangent2& speed, const LidarDelay& delay,
                  const LocatorOptions& options);

/// Whether the map contradicts what was seen at `other` clearly more than at `best`. That it has less of it is no
/// contradiction: a part of the house may not have been mapped.
bool is_contradicted(const PlaceTrack& other, const PlaceTrack& best, const LocatorOptions& options);

}  // namespace wainscot
