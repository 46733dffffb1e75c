#include "tests/bench/recorded_drive.hpp"

#include <malloc.h>
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <set>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/errors.hpp"
#include "graph/mapping/map_stages.hpp"
#include "graph/mapping/mapper.hpp"
#include "graph/motion/usable_drive.hpp"
#include "io/files/pose_table.hpp"
#include "io/log/drive_reader.hpp"
#include "io/spelling.hpp"
#include "tests/bench/altered_drive.hpp"
#include "tests/bench/wall_alignment.hpp"

namespace wainscot::bench {
namespace {

constexpr const char* kReference = "reference.csv";
constexpr const char* kReferenceWalls = "reference_walls.csv";

std::string shown_name(const std::filesystem::path& path) { return printable(path.string(), 300); }

/// Of another drive, or on another clock: then no score means anything.
void require_same_clock(const std::vector<TimedPose>& reference, const Drive& drive,
                        const std::filesystem::path& file) {
  const double begin_s = drive.scans.front().time_s, end_s = drive.scans.back().time_s;
  if (reference.back().time_s < begin_s - kSameStampS || reference.front().time_s > end_s + kSameStampS) {
    throw InputError(
        fmt::format("{}: its times, {:.2f} s to {:.2f} s, lie outside those of the drive's scans, {:.2f} s to {:.2f} "
                    "s; it is of another drive or on another clock: write the stamps of the scans",
                    shown_name(file), reference.front().time_s, reference.back().time_s, begin_s, end_s));
  }
  std::vector<TimedPose> scans;
  for (const Scan& scan : drive.scans) scans.push_back({scan.time_s, {}});
  const auto common = std::count_if(reference.begin(), reference.end(),
                                    [&](const TimedPose& row) { return reference_at(scans, row.time_s).has_value(); });
  // Rows of scans that the reader left out have none.
  if (2 * static_cast<std::size_t>(common) < reference.size()) {
    throw InputError(
        fmt::format("{}: only {} of its {} rows lie within {} s of a scan, so it is on another clock than the drive, "
                    "or of other moments; write the stamps of the scans",
                    shown_name(file), common, reference.size(), kSameStampS));
  }
  if (common < 2) throw InputError(shown_name(file) + ": has the pose of one scan only; write those of all");
}

bool has_reference(const std::filesystem::path& folder) {
  return std::filesystem::exists(folder / kReference) || std::filesystem::exists(folder / kReferenceWalls);
}

/// Folders of drives, and those that only hold a reference: reading such a one says what is missing.
std::set<std::string> drives_in(const std::filesystem::path& folder) {
  std::error_code error;
  std::filesystem::directory_iterator entries(folder, error);
  if (error) {
    throw InputError(fmt::format("{}: cannot be opened as a folder ({}); give one that holds drive folders",
                                 shown_name(folder), error.message()));
  }
  std::set<std::string> names;
  for (const auto& entry : entries) {
    if (std::filesystem::exists(entry.path() / "robot.yaml") || has_reference(entry.path()))
      names.insert(entry.path().filename().string());
  }
  return names;
}

void require_known(const std::string& name, const std::set<std::string>& known, const std::filesystem::path& folder) {
  if (known.contains(name)) return;
  throw InputError(fmt::format("--pair names the drive {}, which is not in {}; there is {}", printable(name),
                               shown_name(folder), fmt::join(known, ", ")));
}

/// Lets the kernel's account of the most memory in use begin at what is in use now.
void begin_peak_anew() {
  malloc_trim(0);
  std::ofstream("/proc/self/clear_refs") << "5";
}

double peak_mb_now() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

void score(const MapStages& stages, const RecordedDrive& recorded, MappedDrive& result) {
  result.pose_of_scan.resize(recorded.drive.scans.size());
  for (const ScanPose& place : stages.placed) result.pose_of_scan[place.scan] = place.pose;
  if (recorded.reference.empty()) return;
  const Pose2 mounting = stages.adjusted.constants.lidar(recorded.drive.robot.lidar).mounting;
  result.path = score_path(stages.placed, recorded.drive, recorded.reference, mounting);
  const NodeReferences references = node_references(stages.map.graph, recorded.drive, recorded.reference, mounting);
  result.relations = score_relations(stages.map.candidates, references, same_heading_rad(recorded.drive));
  result.intervals = score_intervals(stages.map.graph, references);
  result.noise = reference_noise(stages.map.graph, references);
  result.intervals_with_noise = score_intervals(stages.map.graph, references, result.noise);
}

}  // namespace

RecordedDrive read_recorded_drive(const std::filesystem::path& folder, const std::string& alteration) {
  RecordedDrive recorded;
  recorded.name = folder.filename().string();
  recorded.drive = read_drive(folder);
  if (recorded.drive.scans.empty()) throw InputError(shown_name(folder) + ": has no scans; record the lidar as well");
  if (std::filesystem::exists(folder / kReference)) {
    recorded.reference = read_pose_table(folder / kReference);
    require_same_clock(recorded.reference, recorded.drive, folder / kReference);
  }
  if (std::filesystem::exists(folder / kReferenceWalls))
    recorded.walls = read_reference_walls(folder / kReferenceWalls);
  if (!alteration.empty()) {
    recorded.drive = altered(std::move(recorded.drive), recorded.reference, alteration);
    recorded.walls.clear();
  }
  recorded.drive = usable_drive(std::move(recorded.drive));
  return recorded;
}

std::vector<std::string> recorded_drives(const std::filesystem::path& folder,
                                         const std::vector<std::pair<std::string, std::string>>& pairs) {
  const std::set<std::string> known = drives_in(folder);
  std::set<std::string> names;
  for (const std::string& name : known) {
    if (has_reference(folder / name)) names.insert(name);
  }
  if (names.empty()) {
    throw InputError(fmt::format("{}: holds no drive folder with a {} or a {}; write one into a drive's folder",
                                 shown_name(folder), kReference, kReferenceWalls));
  }
  for (const auto& [first, second] : pairs) {
    require_known(first, known, folder);
    require_known(second, known, folder);
    if (first == second) throw InputError("--pair names " + printable(first) + " twice; give two drives of a building");
    names.insert({first, second});
  }
  for (const std::string& name : names) read_recorded_drive(folder / name);
  return {names.begin(), names.end()};
}

MappedDrive mapped(const RecordedDrive& recorded) {
  MappedDrive result;
  result.recorded_s = recorded.drive.scans.back().time_s - recorded.drive.scans.front().time_s;
  MapperOptions options;
  // The map takes nothing of what is scored here: it is the last that build_map does.
  options.observe = [&](const MapStages& stages) {
    result.peak_mb = peak_mb_now();
    score(stages, recorded, result);
  };
  begin_peak_anew();
  const auto begin = std::chrono::steady_clock::now();
  result.map = build_map(recorded.drive, options);
  result.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  return result;
}

}  // namespace wainscot::bench
