#pragma once

// Two drives through one building: each is located in the other's map, and the second extends the first's map.
//
// Nobody knows where the robot really was, so answers are judged by the two maps: each answer says where a scan of one
// drive lies in the other's map, and that drive's own map says where the scan lies in its own frame. One rigid motion
// between the two frames must make all of them agree, as well as both maps are right.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"
#include "graph/known/locate.hpp"
#include "io/map/map_reader.hpp"
#include "scanmatch/motion_correction.hpp"
#include "tests/bench/recorded_drive.hpp"
#include "tests/bench/wall_alignment.hpp"

namespace wainscot::bench {

/// An answer agrees where it lies within this of the place that the maps give: twice what they differ by in good ones,
/// and less than the way to the next room.
constexpr double kAgrees_m = 0.5;
constexpr double kAgrees_rad = 5.0 * 0.017453292519943295;

/// A scan sees what is mapped where at least this share of its returns ends within kOnWall_m of an occupied cell of the
/// other map, the robot standing where the maps put it: of the larger part of what it sees, the map tells. The rest may
/// be rooms that were not mapped, people, and things that were moved. kOnWall_m is three cells: more than good maps of
/// one building differ by, and less than would make free floor beside some stray cells count as mapped.
constexpr double kMappedShare = 0.5;
/// A wall that was only seen from afar tells little of where along it a robot is. So scans are also counted by whether
/// the other drive came by: as near as the bench of simulated homes asks (location_try).
constexpr double kDriven_m = 1.0;

/// One drive located in the map of another.
struct LocatedDrive {
  std::size_t scans = 0;  ///< usable ones
  std::size_t found = 0;
  std::size_t ambiguous = 0;
  std::size_t lost = 0;
  std::string laid_by;       ///< "maps" or "answers", see common_motion; empty: not judged
  std::string doubt;         ///< why the maps do not lie on one another in one way; empty where they do
  std::size_t judged = 0;    ///< found, and the scan is on its own map
  std::size_t agreeing = 0;  ///< within kAgrees_m and kAgrees_rad
  std::size_t near = 0;      ///< within kAgrees_m
  double median_m = 0.0;
  double worst_m = 0.0;
  std::size_t mapped = 0;        ///< scans on their own map that see what is mapped, found or not
  std::size_t mapped_found = 0;  ///< of these, found
  std::size_t driven = 0;        ///< scans on their own map taken where the other drive came by, within kDriven_m
  std::size_t driven_found = 0;  ///< of these, found
};

/// A scan found in another map, and where its own map has it.
struct FoundScan {
  Pose2 in_other;
  Pose2 in_own;
};

/// The motion (pose of the own map's frame in the other's) under which most answers agree, of those that single answers
/// give: the medoid of the answers, so to say. Nothing of no answers.
std::optional<Pose2> motion_of_most(const std::vector<FoundScan>& answers);

/// The share of returns (in the robot's frame) that end within kOnWall_m of an occupied cell, the robot at `pose`.
double mapped_share(const OccupancyGrid& grid, const std::vector<ScanPoint>& points, const Pose2& pose);

/// Counts and distances under a motion.
void judge(const std::vector<FoundScan>& answers, const Pose2& other_own, LocatedDrive& located);

/// Locates a drive in another's map. The common motion is that by which `extend` lays whole maps on one another
/// (graph/extend/shared_house), which does not know the answers; where it is in doubt, motion_of_most().
LocatedDrive score_located(const SavedMap& other, const RecordedDrive& recorded, const SavedMap& own,
                           const std::vector<std::optional<Pose2>>& own_pose_of_scan);

struct ExtendedDrive {
  bool joined = false;
  std::string why_not;                 ///< one sentence
  std::size_t closures = 0;            ///< accepted between the two drives
  std::optional<WallAlignment> walls;  ///< of the extended map, where there is a reference
};

/// The second drive joins the first's map. `walls`: the reference's; may be empty.
ExtendedDrive score_extended(const SavedMap& first, const RecordedDrive& second,
                             const std::vector<Eigen::Vector2d>& walls);

}  // namespace wainscot::bench
