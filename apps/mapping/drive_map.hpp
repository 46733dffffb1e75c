#pragma once

// From a drive's folder to a map's: what the command `build` and the library's wainscot_build_map() share.

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/drives.hpp"
#include "graph/map.hpp"
#include "graph/mapping/mapper.hpp"
#include "graph/measure/scale_remedies.hpp"
#include "graph/measure/tape_evidence.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

constexpr double kReadingShare = 0.05;  ///< of the job, before the mapper, for a drive of some minutes,
constexpr double kMappingShare = 0.90;  ///< and the mapper's; the rest is writing

/// Gets a stage's name and how much of the whole job is done, 0..1.
using JobProgress = std::function<void(const std::string& stage, double fraction)>;

struct DriveMapOptions {
  MapperOptions mapper;                    ///< its `threads` serve for reading too; its `progress` is set by `progress`
  bool even_so = false;                    ///< also where a fault would spoil the map for sure
  bool replace = false;                    ///< the map that stands there
  std::vector<LaidTape> tapes;             ///< which then hold the scale
  std::vector<std::string> tape_warnings;  ///< what was odd about them
  ScaleRemedyOptions remedies;
  JobProgress progress;  ///< called now and then, in the caller's thread; what it throws ends the job. May be empty
  /// Called where the drive gives no map, before `PoorData` is thrown: what was odd about the drive often says why.
  /// May be empty.
  std::function<void(const Drive& drive)> no_map;
};

struct DriveMap {
  Drive drive;  ///< as it was mapped
  Map map;
  MapOrigin origin;
};

/// For MapperOptions::progress: the mapper's own fraction as one of the whole job.
JobProgress mapper_share(JobProgress progress);

/// Reads the drive in `folder` (apps/mapping/drive_to_map), maps it and writes the map's folder `out`, whole or not at
/// all. `program_version`: as the files name it. Throws `InputError` and `PoorData`; then nothing was written.
DriveMap map_drive(const std::filesystem::path& folder, const std::filesystem::path& out,
                   const std::string& program_version, const DriveMapOptions& options);

/// Throws PoorData where the map at `out`, made from `drives`, is not to be used, with the reason.
void require_usable(const Map& map, Drives drives, const std::filesystem::path& out);

}  // namespace wainscot
