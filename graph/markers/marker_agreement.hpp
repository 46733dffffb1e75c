#pragma once

// Which sightings of markers are believed, and which surveyed markers: in a graph whose loops are closed, the sightings
// of one marker must meet at one place, and the places of surveyed markers must lie to each other as the survey says. A
// misread number, a marker that was moved and a slip in the survey are left out, each with its reason.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/map_extent.hpp"
#include "graph/map.hpp"
#include "graph/markers/node_sightings.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

struct MarkerAgreementOptions {
  double sds = 4.0;          ///< further apart than so many standard deviations, two places are not one
  double bend_m = 0.08;      ///< beyond noise and drift: cameras are not mounted exactly, and houses in the graph bend
  double joined_m = 0.5;     ///< where the drift between two nodes is larger than this (or joined_rad), nothing that
  double joined_rad = 0.2;   ///< was seen at both says more than chance
  double size_share = 0.01;  ///< of a distance: the range scale is not adjusted yet
  std::size_t most_markers = 300;  ///< the adjustment's matrix is dense; further names, by the alphabet, are left out
  double least_base_m = 0.5;       ///< two surveyed markers nearer to each other give no direction
  double farthest_m = farthest_house_m;  ///< of the house from the survey's origin
  double survey_sd_m = 0.005;            ///< of a surveyed place, x and y each: a tape's
  double survey_sd_rad = 0.02;           ///< of a surveyed heading
};

/// What the joint adjustment takes from the markers.
struct MarkerEvidence {
  std::vector<std::string> names;                       ///< of all markers that were seen
  std::vector<NodeSighting> sightings;                  ///< those that are believed
  std::vector<std::optional<SurveyedMarker>> surveyed;  ///< by marker: its surveyed place, where it is believed
  std::optional<Pose2>
      map_from_survey;  ///< the survey's frame in the graph's; none: it does not define the map's frame
  double survey_sd_m = 0.005;
  double survey_sd_rad = 0.02;
  std::vector<LeftOutSighting> left_out;
  std::vector<std::string> warnings;  ///< one sentence each

  /// Nothing that the adjustment could use: neither a sighting nor a frame that measured lines define.
  bool empty() const { return sightings.empty() && !map_from_survey; }
};

/// `sightings`: as sightings_at_nodes() gives them; `graph`: optimised.
MarkerEvidence agreeing_markers(const Drive& drive, const std::vector<NodeSighting>& sightings, const PoseGraph& graph,
                                const MarkerAgreementOptions& options = {});

}  // namespace wainscot
