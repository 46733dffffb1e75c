#pragma once

// Sightings of markers, each carried to the node of the graph whose scan was taken nearest in time.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/odometry.hpp"
#include "core/pose2.hpp"

namespace wainscot {

/// How well a marker's place in the robot's frame is taken to be known, since markers.csv does not say. The joint
/// adjustment finds the noise that the sightings really have; these are where it begins.
struct SightingNoise {
  double sd_m = 0.01;       ///< of x and y each, near by: a centimetre of a camera's or a hand's reading,
  double sd_per_m = 0.01;   ///< and its growth with the distance
  double sd_rad = 0.03;     ///< of the heading, 2 degrees
  double most_gap_m = 0.1;  ///< a sighting that odometry carries to its node with a standard deviation of more than
                            ///< this, or over a jump, is left out
};

struct NodeSighting {
  std::size_t sighting = 0;  ///< index into Drive::markers
  std::size_t marker = 0;    ///< index into marker_names()
  std::size_t node = 0;
  double time_s = 0.0;
  Pose2 robot;           ///< the robot at the sighting's time, in the node's frame
  Eigen::Vector2d at_m;  ///< the marker in the node's frame
  std::optional<double> heading_rad;
  double sd_m = 0.0;  ///< of at_m, x and y each
  double sd_rad = 0.0;
};

/// The numbers or names of the markers that were seen, each once, in alphabetical order.
std::vector<std::string> marker_names(const Drive& drive);

/// Where the robot was at `time_s`, in the frame of node `node`: by odometry from there, bent so that it arrives at the
/// next node on that side of time. `times_s` and `poses`: of all nodes.
Pose2 robot_from_node(const OdometryPath& path, const std::vector<double>& times_s, const std::vector<Pose2>& poses,
                      std::size_t node, double time_s);

/// Carries `sighting` along with the robot to the node again: where the nodes, their times or odometry's constants have
/// changed.
void carry_again(const Drive& drive, const OdometryPath& path, const std::vector<double>& times_s,
                 const std::vector<Pose2>& poses, NodeSighting& sighting);

/// All sightings that lie near enough to a node, in the order of Drive::markers.
std::vector<NodeSighting> sightings_at_nodes(const Drive& drive, const std::vector<OdometryStep>& steps,
                                             const std::vector<double>& times_s, const std::vector<Pose2>& poses,
                                             const SightingNoise& noise = {});

}  // namespace wainscot
