// Maps recordings of real robots and compares the scans' places with poses that others found. Not a timed test.
//
//   build/tests/bench/recordings FOLDER --csv recordings.csv
//
// FOLDER holds drive folders, each with a reference.csv in the columns of truth.csv: the lidar's poses at the stamps of
// its scans. Such poses are estimates as well, good to some centimetres.

#include <algorithm>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "core/trajectory_error.hpp"
#include "graph/mapping/map_stages.hpp"
#include "graph/mapping/mapper.hpp"
#include "io/files/pose_table.hpp"
#include "io/log/drive_reader.hpp"

namespace wainscot::bench {
namespace {

struct Score {
  TrajectoryError error;
  std::size_t scans = 0;     ///< with a pose in the reference
  std::size_t closures = 0;  ///< accepted
  double stated_sd_m = 0.0;  ///< the map's own word, the median over its nodes
  double stated_sd_rad = 0.0;
  double seconds = 0.0;
};

/// The reference's pose at a stamp, if there is one.
std::optional<TimedPose> reference_at(const std::vector<TimedPose>& reference, double time_s) {
  constexpr double kSameStampS = 0.02;
  const auto after = std::lower_bound(reference.begin(), reference.end(), time_s - kSameStampS,
                                      [](const TimedPose& row, double time) { return row.time_s < time; });
  if (after == reference.end() || after->time_s > time_s + kSameStampS) return std::nullopt;
  return *after;
}

/// The lidar's path by the map beside the reference's, the mounting as the map found it.
void compare(const MapStages& stages, const Drive& drive, const std::vector<TimedPose>& reference, Score& score) {
  const Pose2 mounting = stages.adjusted.constants.lidar(drive.robot.lidar).mounting;
  std::vector<TimedPose> found;
  std::vector<TimedPose> expected;
  for (const ScanPose& place : stages.placed) {
    const double stamp_s = drive.scans[place.scan].time_s;
    const std::optional<TimedPose> pose = reference_at(reference, stamp_s);
    if (!pose) continue;
    found.push_back({stamp_s, place.pose * mounting});
    expected.push_back({stamp_s, pose->pose});
  }
  score.error = absolute_trajectory_error(found, expected);
  score.closures =
      static_cast<std::size_t>(std::count_if(stages.closed.candidates.begin(), stages.closed.candidates.end(),
                                             [](const auto& c) { return c.verdict == Verdict::accepted; }));
}

Score score_of(const std::filesystem::path& folder) {
  const Drive drive = read_drive(folder);
  const std::vector<TimedPose> reference = read_pose_table(folder / "reference.csv");
  Score score;
  for (const Scan& scan : drive.scans) score.scans += reference_at(reference, scan.time_s) ? 1U : 0U;
  MapperOptions options;
  options.observe = [&](const MapStages& stages) { compare(stages, drive, reference, score); };
  const auto begin = std::chrono::steady_clock::now();
  const Map map = build_map(drive, options);
  score.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  score.stated_sd_m = map.quality.position_sd_median_m;
  score.stated_sd_rad = map.quality.heading_sd_median_rad;
  return score;
}

std::string row_of(const std::string& name, const Score& s) {
  return fmt::format("{},{},{},{:.4f},{:.4f},{:.4f},{:.3f},{:.4f},{:.3f},{},{:.1f}", name, s.error.pairs, s.scans,
                     s.error.position_rmse_m, s.error.position_median_m, s.error.position_max_m,
                     kDegreesPerRadian * s.error.heading_rmse_rad, s.stated_sd_m, kDegreesPerRadian * s.stated_sd_rad,
                     s.closures, s.seconds);
}

void run(const std::filesystem::path& folder, const std::string& csv) {
  std::vector<std::filesystem::path> drives;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (std::filesystem::exists(entry.path() / "reference.csv")) drives.push_back(entry.path());
  }
  if (drives.empty()) throw InputError(folder.string() + ": no drive with a reference.csv in it");
  std::sort(drives.begin(), drives.end());
  std::string table = "drive,placed,scans,rmse_m,median_m,max_m,heading_deg,stated_m,stated_deg,closures,seconds\n";
  fmt::print("{:<16}{:>12}{:>26}{:>10}{:>20}{:>10}{:>8}\n", "", "placed", "off: RMSE, median, most", "heading",
             "stated", "closures", "time");
  for (const std::filesystem::path& drive : drives) {
    const std::string name = drive.filename().string();
    try {
      const Score s = score_of(drive);
      fmt::print("{:<16}{:>7}/{:<4}{:>10.3f} {:>6.3f} {:>6.2f} m{:>6.2f} deg{:>8.3f} m {:>5.2f} deg{:>10}{:>6.1f} s\n",
                 name, s.error.pairs, s.scans, s.error.position_rmse_m, s.error.position_median_m,
                 s.error.position_max_m, kDegreesPerRadian * s.error.heading_rmse_rad, s.stated_sd_m,
                 kDegreesPerRadian * s.stated_sd_rad, s.closures, s.seconds);
      table += row_of(name, s) + "\n";
    } catch (const PoorData& error) {
      fmt::print("{:<16}no map: {}\n", name, error.what());
    }
  }
  if (!csv.empty()) std::ofstream(csv) << table;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) {
  CLI::App app{"Maps recordings of real robots and compares them with poses that others found."};
  std::string folder;
  std::string csv;
  app.add_option("folder", folder, "with drive folders, each with a reference.csv")->required();
  app.add_option("--csv", csv, "the figures as a table");
  CLI11_PARSE(app, argc, argv);
  try {
    wainscot::bench::run(folder, csv);
  } catch (const wainscot::InputError& error) {
    fmt::print(stderr, "{}\n", error.what());
    return 2;
  }
  return 0;
}
