#include "apps/calibrate.hpp"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/calibration_text.hpp"
#include "apps/option_values.hpp"
#include "apps/print_result.hpp"
#include "core/errors.hpp"
#include "graph/calibrate/calibrated_robot.hpp"
#include "graph/calibrate/combined_calibration.hpp"
#include "graph/calibrate/mapped_calibration.hpp"
#include "graph/motion/found_robot.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/output_files.hpp"
#include "io/files/shown.hpp"
#include "io/log/drive_reader.hpp"
#include "io/log/run_reader.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/robot/motor_header.hpp"
#include "io/robot/robot_yaml.hpp"
#include "io/robot/robot_yaml_edit.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

struct CalibrateOptions {
  std::vector<fs::path> folders;
  fs::path write;     ///< empty: not wanted
  fs::path c_header;  ///< empty: not wanted
  std::vector<std::string> leave_out;
  bool no_map = false;
  int threads = 0;
  bool replace = false;
};

constexpr const char* kCaution =
    "Caution: wrong constants send a robot elsewhere. Check the wheels' direction and the stop switch with the wheels "
    "lifted, then drive slowly at first, a hand at the switch, people and pets away; don't let motors stall against a "
    "wall.\n";

void say(const std::string& text) { std::fputs(text.c_str(), stderr); }

std::string number(double value) { return fmt::format("{:.7g}", value); }
std::string uncertainty(double value) { return fmt::format("{:.2g}", value); }

/// Its last name, also where a slash ends it.
std::string name_of(const fs::path& folder) {
  const fs::path plain = folder.has_filename() ? folder : folder.parent_path();
  return shown(plain.filename());
}

/// "my-runs, kitchen".
std::string names_of(const std::vector<fs::path>& folders) {
  std::string names;
  for (const fs::path& folder : folders) names += (names.empty() ? "" : ", ") + name_of(folder);
  return names;
}

/// Before the long work: what each folder is, and that none is given twice.
void check_folders(const std::vector<fs::path>& folders) {
  std::error_code ignored;
  for (auto folder = folders.begin(); folder != folders.end(); ++folder) {
    if (!fs::is_directory(*folder, ignored)) {
      throw InputError(shown(*folder) + ": is not a folder; give one of calibration runs or of a recorded drive");
    }
    const bool scans = fs::exists(*folder / "scans.csv", ignored) || fs::exists(*folder / "returns.csv", ignored);
    if (!holds_runs(*folder) && !scans) {
      throw InputError(shown(*folder) +
                       ": holds neither calibration runs (runs.csv) nor a drive (wheels.csv with scans.csv or "
                       "returns.csv); give a folder with one of them");
    }
    const auto same = [&](const fs::path& other) { return fs::equivalent(*folder, other, ignored); };
    if (std::any_of(folders.begin(), folder, same)) {
      throw InputError(shown(*folder) +
                       ": is given twice, and what is counted twice looks surer than it is; name it once");
    }
  }
}

/// Before the long work: whatever would stop the writing at the end.
void check_outputs(const CalibrateOptions& options) {
  check_output_files({options.write, options.c_header}, {}, options.replace);
}

std::string new_robot_yaml(const CalibrateOptions& options, const std::vector<RobotChange>& changes) {
  const fs::path old = options.folders.front() / "robot.yaml";
  return edited_robot_yaml(read_small_file(old, kLargestRobotFile, nullptr), shown(old), changes);
}

/// Both files or none.
void write_constants(const CalibrateOptions& options, const std::vector<RobotChange>& changes,
                     const MotorConstants& motors) {
  std::vector<OutputFile> files;
  if (!options.write.empty()) files.push_back({options.write, new_robot_yaml(options, changes)});
  if (!options.c_header.empty()) {
    files.push_back({options.c_header, motor_header(motors, "From " + names_of(options.folders))});
  }
  write_output_files(files, {}, options.replace);
  if (!options.write.empty()) {
    say(
        fmt::format("Written to {}. Put it into the next drive's folder as robot.yaml, then try:\n  wainscot build "
                    "DRIVE --out MAP\n",
                    shown(options.write)));
  }
  if (!options.c_header.empty()) {
    say(fmt::format("Written to {}: ticks for a millimetre and for a degree.\n", shown(options.c_header)));
  }
}

void suggest_writing(const CalibrateOptions& options) {
  if (!options.write.empty()) return;
  std::string folders;
  for (const fs::path& folder : options.folders) folders += shown(folder) + " ";
  say(fmt::format("To use these constants:\n  wainscot calibrate {}--write new-robot.yaml\n", folders));
}

std::vector<RobotChange> changes_of(const RunCalibration& found) {
  std::vector<RobotChange> changes{{{"drive", "left_m_per_tick"}, number(found.left_m_per_tick.value)},
                                   {{"drive", "right_m_per_tick"}, number(found.right_m_per_tick.value)},
                                   {{"drive", "track_width_m"}, number(found.mean_width_m.value)},
                                   {{"drive", "left_sd_m_per_tick"}, uncertainty(found.left_m_per_tick.sd)},
                                   {{"drive", "right_sd_m_per_tick"}, uncertainty(found.right_m_per_tick.sd)},
                                   {{"drive", "track_width_sd_m"}, uncertainty(found.mean_width_m.sd)}};
  for (const SurfaceWidth& surface : found.surfaces) {
    changes.push_back({{"drive", "track_width_by_surface_m", surface.surface}, number(surface.width_m.value)});
  }
  return changes;
}

std::vector<MotorConstants::Width> surface_widths(const RunCalibration& found) {
  std::vector<MotorConstants::Width> widths;
  for (const SurfaceWidth& surface : found.surfaces) widths.push_back({surface.surface, surface.width_m.value});
  return widths;
}

/// What one folder told.
struct Told {
  std::string text;  ///< for people
  Robot stated;      ///< by its robot.yaml
  Witness witness;
  std::optional<RunCalibration> runs;
  std::optional<DriveCalibration> drive;
  std::vector<WheelCounts> counts;  ///< all of them, by which a copy is known
  Robot robot;                      ///< then: as the drive was read, what robot.yaml leaves out filled in
};

Told told_by_runs(const CalibrateOptions& options, const fs::path& folder) {
  const CalibrationRuns runs = read_runs(folder, options.leave_out);
  for (const std::string& warning : runs.warnings) say("Warning: " + warning + "\n");
  Told told;
  told.stated = runs.robot;
  for (const CalibrationRun& run : runs.runs)
    told.counts.insert(told.counts.end(), run.wheels.begin(), run.wheels.end());
  told.runs = calibrate_runs(runs);
  told.witness = witness_of("the runs " + name_of(folder), *told.runs);
  if (is_marked_simulated(folder)) told.text = "Simulated runs: these figures say nothing of a real robot.\n";
  told.text += calibration_text(runs, *told.runs);
  if (const std::optional<SquareTest> test = test_squares(runs)) told.text += square_text(runs, *test, *told.runs);
  return told;
}

/// What was observed, and nothing else.
std::vector<RobotChange> changes_of(const Robot& before, const Robot& after, const DriveCalibration& found) {
  std::vector<RobotChange> changes;
  const auto seen = [&](DriveConstant c) { return found.observed[static_cast<std::size_t>(c)]; };
  const DriveConstants& drive = *after.drive;
  if (seen(kLeftPerTick) && seen(kRightPerTick)) {
    changes = {{{"drive", "left_m_per_tick"}, number(drive.left_m_per_tick)},
               {{"drive", "right_m_per_tick"}, number(drive.right_m_per_tick)},
               {{"drive", "left_sd_m_per_tick"}, uncertainty(*drive.left_sd_m_per_tick)},
               {{"drive", "right_sd_m_per_tick"}, uncertainty(*drive.right_sd_m_per_tick)}};
    if (seen(kTrackWidth)) {
      changes.push_back({{"drive", "track_width_m"}, number(drive.track_width_m)});
      changes.push_back({{"drive", "track_width_sd_m"}, uncertainty(*drive.track_width_sd_m)});
    }
  }
  const LidarConstants& lidar = after.lidar;
  if (seen(kLidarX)) changes.push_back({{"lidar", "x_m"}, fmt::format("{:.5f}", lidar.x_m)});
  if (seen(kLidarY)) changes.push_back({{"lidar", "y_m"}, fmt::format("{:.5f}", lidar.y_m)});
  if (seen(kLidarHeading)) changes.push_back({{"lidar", "heading_deg"}, fmt::format("{:.4f}", lidar.heading_deg)});
  if (after.left_out.mirrored && after.left_out.found) changes.push_back({{"lidar", "mirrored"}, "true"});
  if (seen(kClockOffset) && before.lidar.time_offset_s != lidar.time_offset_s) {
    changes.push_back({{"lidar", "time_offset_s"}, fmt::format("{:.4f}", lidar.time_offset_s)});
  }
  return changes;
}

/// `first`: the robot whose clock offset counts; nullptr: this one's.
Told told_by_drive(const CalibrateOptions& options, const fs::path& folder, const Robot* first) {
  Drive drive = read_drive(folder);
  for (const std::string& warning : drive.warnings) say("Warning: " + warning + "\n");
  if (drive.wheels.empty()) {
    throw InputError(shown(folder) +
                     ": has no wheels.csv, and from nothing else the wheels' constants can be found; "
                     "record wheels.csv, the counters themselves");
  }
  Told told;
  told.stated = drive.robot;
  drive = with_found_robot(std::move(drive));
  DriveCalibration found = calibrate_drive(drive, find_scan_increments(drive));
  std::optional<MappedCalibration> mapped;
  if (!options.no_map) {
    try {
      mapped = refine_by_mapping(drive, found, options.threads);
      found = with_mounting_of(*mapped, found);
    } catch (const PoorData&) {  // no map, no refinement: what the increments say stands on its own
    }
  }
  if (is_marked_simulated(folder)) told.text = "Simulated drive: these figures say nothing of a real robot.\n";
  told.text += calibration_text(drive, found, mapped);
  told.counts = drive.wheels;
  told.drive = found;
  told.robot = drive.robot;
  told.witness = witness_of("the drive " + drive.name, found, told.robot, first != nullptr ? *first : told.robot);
  return told;
}

/// Of one folder alone, whose robot.yaml knew nothing for sure before.
void write_alone(const CalibrateOptions& options, const Told& told) {
  if (told.runs) {
    MotorConstants motors{told.runs->left_m_per_tick.value, told.runs->right_m_per_tick.value,
                          told.runs->mean_width_m.value, surface_widths(*told.runs)};
    write_constants(options, changes_of(*told.runs), motors);
    return;
  }
  const Robot robot = calibrated_robot(told.robot, *told.drive);
  write_constants(options, changes_of(told.stated, robot, *told.drive),
                  {robot.drive->left_m_per_tick, robot.drive->right_m_per_tick, robot.drive->track_width_m, {}});
}

/// As the first drive was read; without a drive what the first folder's robot.yaml states.
const Robot& robot_of_drive(const std::vector<Told>& told) {
  const auto drive = std::find_if(told.begin(), told.end(), [](const Told& one) { return one.drive.has_value(); });
  return drive != told.end() ? drive->robot : told.front().stated;
}

/// Of all together; later changes of one key count.
void write_together(const CalibrateOptions& options, const std::vector<Told>& told, const CombinedCalibration& found) {
  std::vector<RobotChange> changes;
  std::vector<MotorConstants::Width> widths;
  for (const Told& one : told) {
    if (!one.runs) continue;
    for (const SurfaceWidth& surface : one.runs->surfaces) {
      changes.push_back({{"drive", "track_width_by_surface_m", surface.surface}, number(surface.width_m.value)});
    }
    widths = surface_widths(*one.runs);
  }
  const Robot robot = calibrated_robot(robot_of_drive(told), found.all);
  for (RobotChange& change : changes_of(told.front().stated, robot, found.all)) changes.push_back(std::move(change));
  if (found.tells_metre()) {
    changes.push_back({{"lidar", "range_scale"}, fmt::format("{:.5f}", robot.lidar.range_scale / found.lidar_metre)});
  }
  write_constants(options, changes,
                  {robot.drive->left_m_per_tick, robot.drive->right_m_per_tick, robot.drive->track_width_m, widths});
}

bool same_counts(const std::vector<WheelCounts>& a, const std::vector<WheelCounts>& b) {
  const auto same = [](const WheelCounts& one, const WheelCounts& other) {
    return one.time_s == other.time_s && one.left_ticks == other.left_ticks && one.right_ticks == other.right_ticks;
  };
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), same);
}

/// One after another, in the order given.
std::vector<Told> told_by_all(const CalibrateOptions& options) {
  std::vector<Told> told;
  std::optional<Robot> first;  // whose clock offset counts
  for (const fs::path& folder : options.folders) {
    Told one =
        holds_runs(folder) ? told_by_runs(options, folder) : told_by_drive(options, folder, first ? &*first : nullptr);
    if (one.drive && !first) first = one.robot;
    for (std::size_t i = 0; i < told.size(); ++i) {
      if (!same_counts(told[i].counts, one.counts)) continue;
      throw InputError(
          fmt::format("{}: holds the same counts as {}, and what is counted twice looks surer than it is; "
                      "name one of them",
                      shown(folder), shown(options.folders[i])));
    }
    told.push_back(std::move(one));
  }
  return told;
}

void refuse_different_robots(const std::vector<Witness>& witnesses) {
  const auto two = different_robots(witnesses);
  if (!two) return;
  throw PoorData(
      fmt::format("{} and {} are not of one robot: a tick of one is more than a tenth longer, or goes the "
                  "other way; calibrate them apart, or look at the counters' directions",
                  two->first, two->second));
}

void run_calibrate(const CalibrateOptions& options) {
  check_outputs(options);
  check_folders(options.folders);
  const bool any_runs = std::any_of(options.folders.begin(), options.folders.end(), holds_runs);
  if (!any_runs && !options.leave_out.empty()) {
    throw InputError("--leave-out names a run of runs.csv; a drive has none");
  }
  const std::vector<Told> told = told_by_all(options);
  std::vector<Witness> witnesses;
  for (const Told& one : told) witnesses.push_back(one.witness);
  refuse_different_robots(witnesses);
  // Runs may be where robot.yaml has its word from.
  if (const Witness before = witness_of(told.front().stated); !any_runs && knows_anything(before)) {
    witnesses.push_back(before);
    if (different_robots(witnesses)) {
      witnesses.pop_back();
      say("Warning: what robot.yaml states of the wheels is more than a tenth off, so it does not count\n");
    }
  }
  std::string text;
  for (const Told& one : told) text += (text.empty() ? "" : "\n") + one.text;
  if (witnesses.size() == 1) {
    print_result(text);
    write_alone(options, told.front());
  } else {
    const CombinedCalibration found = combine(witnesses);
    print_result(text + "\n" + combined_text(witnesses, found, robot_of_drive(told)));
    write_together(options, told, found);
  }
  suggest_writing(options);
  say(kCaution);
}

}  // namespace

void add_calibrate(CLI::App& app) {
  auto options = std::make_shared<CalibrateOptions>();
  CLI::App* calibrate = app.add_subcommand(
      "calibrate", "Find the wheels' constants from runs with a tape, wheels and lidar from drives, or all together.");
  calibrate
      ->add_option(
          "FOLDER", options->folders,
          "calibration runs (a folder with runs.csv) or a recorded drive with wheels.csv and scans; several: each "
          "constant from whoever knows it best. robot.yaml is that of the first")
      ->required();
  calibrate
      ->add_option("--write", options->write,
                   "write a robot.yaml with the constants found; comments and all other keys are kept")
      ->type_name("FILE");
  calibrate
      ->add_option("--c-header", options->c_header,
                   "write ticks per millimetre and per degree as a C header for the motor controller")
      ->type_name("FILE");
  calibrate->add_option("--leave-out", options->leave_out, "leave this run out; may be given often")
      ->type_name("RUN")
      ->allow_extra_args(false);
  calibrate->add_flag("--no-map", options->no_map, "of a drive: scan-to-scan motion alone, without the mapper; faster");
  calibrate->add_option("--threads", options->threads, "how many processors to use; all where not given")
      ->type_name("N")
      ->check(whole_number_from(1, 1024));
  calibrate->add_flag("--replace", options->replace, "replace the files that are to be written");
  calibrate->footer(
      "Drive such runs slowly, a hand at the stop switch, people and pets away.\n\n"
      "Example:\n  wainscot calibrate runs --write new-robot.yaml --c-header wheel_constants.h\n"
      "  wainscot calibrate my-drive --write new-robot.yaml\n  wainscot calibrate runs drive-1 drive-2 --write "
      "new-robot.yaml");
  calibrate->callback([options] { run_calibrate(*options); });
}

}  // namespace wainscot
