#include "apps/mapping/drive_map.hpp"

#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include "apps/mapping/drive_to_map.hpp"
#include "apps/mapping/left_out.hpp"
#include "core/errors.hpp"
#include "graph/mapping/map_verdict.hpp"
#include "graph/measure/taped_map.hpp"
#include "io/files/file_reader.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/map/map_folder.hpp"
#include "io/robot/robot_yaml.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

Drive read_to_map(const std::filesystem::path& folder, const DriveMapOptions& options) {
  DriveToMapOptions reading;
  reading.even_so = options.even_so;
  reading.threads = options.mapper.threads;
  reading.progress = [&options](const std::string& stage, double fraction) {
    if (options.progress) options.progress(stage, kReadingShare * fraction);
  };
  Drive drive = drive_to_map(folder, reading);
  drive.warnings.insert(drive.warnings.end(), options.tape_warnings.begin(), options.tape_warnings.end());
  return drive;
}

Map map_of(const Drive& drive, const DriveMapOptions& options) {
  MapperOptions mapper = options.mapper;
  mapper.progress = mapper_share(options.progress);
  try {
    return taped_map(drive, mapper, options.tapes, options.remedies);
  } catch (const PoorData&) {
    if (options.no_map) options.no_map(drive);
    throw;
  }
}

/// For the map's folder; empty where robot.yaml leaves nothing out.
std::string robot_yaml_of(const std::filesystem::path& folder, const Robot& robot, const Map& map) {
  if (!robot.left_out.found) return "";
  const std::filesystem::path file = folder / "robot.yaml";
  return completed_robot_yaml(read_small_file(file, kLargestRobotFile, nullptr), printable(file.string(), 300), robot,
                              map);
}

}  // namespace

JobProgress mapper_share(JobProgress progress) {
  if (!progress) return {};
  return [progress = std::move(progress)](const std::string& stage, double fraction) {
    if (fraction < 1.0) progress(stage, kReadingShare + kMappingShare * fraction);
  };
}

DriveMap map_drive(const std::filesystem::path& folder, const std::filesystem::path& out,
                   const std::string& program_version, const DriveMapOptions& options) {
  check_map_destination(out, options.replace);
  DriveMap made;
  made.drive = read_to_map(folder, options);
  made.map = map_of(made.drive, options);
  if (options.progress) options.progress("writing", kReadingShare + kMappingShare);
  const FrameSetBy frame = made.map.markers.frame_by_survey ? FrameSetBy::survey : options.mapper.frame.set_by();
  made.origin = {program_version, is_marked_simulated(folder), options.mapper.close_loops, frame};
  write_map(made.map, made.drive, made.origin, out, options.replace, robot_yaml_of(folder, made.drive.robot, made.map));
  return made;
}

void require_usable(const Map& map, Drives drives, const std::filesystem::path& out) {
  const MapVerdict verdict = map_verdict(map, drives);
  if (verdict.grade != Grade::unusable) return;
  throw PoorData(fmt::format("the map in {} is there to be looked at, not to be used: {}", printable(out.string(), 200),
                             verdict.reason));
}

}  // namespace wainscot
