#pragma once

// Where a scan was taken when its match from odometry's place is not clear: of that place and the best ones within
// reach, the one for which walls and odometry together say most.

#include <vector>

#include "graph/track/predicted_step.hpp"
#include "graph/track/wall_evidence.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

struct ReachOptions {
  double least_m = 1.0;      ///< half of the window that is searched, at least,
  double widest_m = 3.0;     ///< and at most
  double near_rad = 0.3;     ///< of headings: once near odometry's,
  double least_rad = 1.4;    ///< once all that a hand's turn or a slide leaves likely
  double event_rate = 0.01;  ///< how often odometry says nothing of a step: the robot was turned by hand, or slid
  double margin = 3.0;       ///< a place has to be e^margin times as likely as odometry's own
};

/// Of a place that lies anywhere in the least window, evenly spread: along, across (m2), heading (rad2).
Eigen::Vector3d variance_within(const ReachOptions& reach);

/// Whether the walls leave a direction of a match open by more than 10 cm, or its heading by more than 3 degrees.
bool holds_loosely(const IcpResult& found);

/// `from_odometry`: the match that began where odometry put the scan. Where the walls leave a direction open, no place
/// outside of what odometry allows is taken.
IcpResult most_likely_place(const std::vector<ScanPoint>& points, const LocalWalls& walls, const PredictedStep& step,
                            const IcpOptions& icp, const IcpResult& from_odometry, const ReachOptions& options = {});

/// Whether a match may be taken: a fair part of the scan fits, and an event (a turn by hand, a slide) has to leave free
/// what was seen to be free.
bool is_possible(const IcpResult& found, const std::vector<ScanPoint>& points, const PredictedStep& step,
                 const LocalWalls& walls, double least_overlap);

}  // namespace wainscot
