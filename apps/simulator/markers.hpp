#pragma once

// Numbered signs on the floor, and a camera that looks ahead and reads them while the robot drives.

#include <cstdint>
#include <string>
#include <vector>

#include "apps/simulator/house_in_time.hpp"
#include "apps/simulator/motion.hpp"
#include "apps/simulator/plan.hpp"
#include "core/drive.hpp"

namespace wainscot::simulator {

/// `count` markers beside the plan's route, spread over the house as evenly as the route allows; named "1", "2", ...
/// Fewer where the route is too short for markers half a metre apart.
std::vector<Marker> lay_out_markers(const Plan& plan, int count);

/// What the camera says: twice a second each marker within 2 m and 60 degrees of straight ahead that nothing hides. Its
/// mounting, noise and misread numbers are drawn from the seed.
std::vector<MarkerSighting> see_markers(const Plan& plan, const HouseInTime& house, const Motion& motion,
                                        std::uint64_t seed);

/// The markers' places as somebody measured them, in the frame of the house; empty unless the plan has them surveyed.
std::vector<SurveyedMarker> survey_markers(const Plan& plan, std::uint64_t seed);

}  // namespace wainscot::simulator
