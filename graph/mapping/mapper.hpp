#pragma once

// The whole job: a recorded drive in, a map out. Values only, no files.

#include <functional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/adjust/length_evidence.hpp"
#include "graph/drive_part.hpp"
#include "graph/map.hpp"
#include "graph/mapping/map_frame.hpp"

namespace wainscot {

struct MapStages;

struct MapperOptions {
  double cell_size_m = 0.05;  ///< of the grid; 0.01 .. 0.5
  int threads = 0;            ///< 0: as many as the machine has; the result does not depend on it
  bool close_loops = true;    ///< false: for comparison only
  MapFrameOptions frame;      ///< default: the first used scan's
  std::vector<DrivePart>
      parts;  ///< of a recording that was joined from several (graph/extend/joined_drives); else empty
  std::vector<Pose2> expected;  ///< then: of each scan, by the parts' own maps laid on one another
  /// Where a person measured lengths: called once with the map as it is without them, in the frame asked for; what it
  /// gives is then taken into a second adjustment. May be empty.
  std::function<LengthEvidence(const Map& map)> lengths = {};
  /// Called now and then with the stage's name ("matching", ...) and the fraction done of the whole job, 0..1; may be
  /// empty.
  std::function<void(const std::string& stage, double fraction)> progress;
  /// Called at the end with what the stages passed on to one another (graph/mapping/map_stages.hpp); may be empty.
  std::function<void(const MapStages& stages)> observe = {};
};

/// Maps a drive. Throws `PoorData`, also where one of the parts cannot be joined to the first. With parts, nodes and
/// trajectory still have the joined recording's scans and times; graph/extend/extended_map gives them back to their
/// drives.
Map build_map(const Drive& drive, const MapperOptions& options);

}  // namespace wainscot
