#pragma once

// Recorded drives in a folder, each with what others found for it, and their maps.

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "tests/bench/reference_score.hpp"

namespace wainscot::bench {

struct RecordedDrive {
  std::string name;  ///< of its folder
  Drive drive;
  std::vector<TimedPose> reference;    ///< of reference.csv; empty without
  std::vector<Eigen::Vector2d> walls;  ///< of reference_walls.csv; empty without
};

/// Reads a drive folder with its references. Throws `InputError`, also where the reference is of another time or on
/// another clock than the scans. `alteration`: one of altered_drive.hpp, then without walls; empty: as it was
/// recorded.
RecordedDrive read_recorded_drive(const std::filesystem::path& folder, const std::string& alteration = "");

/// Names of the drives to be scored, in alphabetical order: those with a reference, and those of the pairs. All are
/// read once, so that what is wrong with one shows before the long work. Throws `InputError` where `folder` is not
/// there, has no such drive, or a pair names one that it has not, or one twice.
std::vector<std::string> recorded_drives(const std::filesystem::path& folder,
                                         const std::vector<std::pair<std::string, std::string>>& pairs);

/// A drive's own map, with what scoring it needs beside it.
struct MappedDrive {
  Map map;
  std::vector<std::optional<Pose2>> pose_of_scan;   ///< of the robot, map frame; of each of the drive's scans
  std::optional<PathScore> path;                    ///< where there is a reference, this
  std::optional<RelationScore> relations;           ///< and this
  std::optional<IntervalScore> intervals;           ///< and this
  IntervalScore intervals_with_noise;               ///< the same with the reference's own noise allowed for,
  Eigen::Vector3d noise = Eigen::Vector3d::Zero();  ///< which is this: ahead, left, heading; m, m, rad
  double seconds = 0.0;                             ///< that mapping took
  double recorded_s = 0.0;                          ///< from the first scan to the last
  double peak_mb = 0.0;  ///< the most memory that the process had in use meanwhile; where the system does not let it
                         ///< begin anew, since its start
};

/// Throws `PoorData` where the drive gives no map.
MappedDrive mapped(const RecordedDrive& recorded);

}  // namespace wainscot::bench
