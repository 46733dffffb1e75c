#include "apps/simulate.hpp"

#include <charconv>
#include <cstdint>
#include <filesystem>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/option_values.hpp"
#include "apps/simulator/another_day.hpp"
#include "apps/simulator/calibration_runs.hpp"
#include "apps/simulator/gallery.hpp"
#include "apps/simulator/like_recorded.hpp"
#include "apps/simulator/lines.hpp"
#include "apps/simulator/markers.hpp"
#include "apps/simulator/plan_yaml.hpp"
#include "apps/simulator/random_house.hpp"
#include "apps/simulator/robot_spec_yaml.hpp"
#include "apps/simulator/simulate.hpp"
#include "apps/simulator/write_drive.hpp"
#include "core/errors.hpp"
#include "io/files/output_files.hpp"
#include "io/files/stop_signal.hpp"
#include "io/files/whole_file.hpp"
#include "io/spelling.hpp"

namespace wainscot {

namespace {

struct Options {
  std::string plan;
  std::optional<std::uint64_t> random_house;
  std::string hard_place;
  std::uint64_t seed = 1;
  int day = 1;
  std::string out;
  std::string write_plan;
  std::string surfaces;
  std::vector<std::string> settings;
  std::vector<std::string> robot_settings;
  std::vector<std::string> not_told;
  std::optional<double> range_scale;
  std::string form;
  int markers = 0;
  int lines = 0;
  bool survey = false;
  bool gyro = false;
  bool calibration_runs = false;
  bool like_recorded = false;
  bool calibrated = false;
  bool perfect = false;
  bool replace = false;
};

std::string footer_text() {
  std::string text = "Hard places for --hard-place:\n";
  for (const simulator::HardPlace& place : simulator::gallery()) {
    text += fmt::format("  {}\n      {}\n", place.name, place.what);
  }
  text += "\nDefects for --set (defaults of the raw level):\n";
  for (const simulator::KnobEntry& entry : simulator::knob_table()) {
    const std::string value = simulator::to_text(simulator::Defects().*entry.member);
    text += fmt::format("  {} = {}\n      {}\n", entry.name, value, entry.meaning);
  }
  return text +
         "\nExample:\n  wainscot simulate --random-house 7 --seed 3 --calibrated --out drive7\n"
         "  wainscot simulate --random-house 7 --seed 3 --calibrated --day 2 --out drive7-day2\n"
         "  wainscot simulate --hard-place lifted-robot --seed 3 --out lifted3\n"
         "  wainscot simulate --random-house 7 --seed 3 --calibration-runs --out runs7\n"
         "  wainscot simulate --random-house 7 --seed 3 --like-recorded --out recorded7\n"
         "  wainscot simulate --random-house 7 --robot lidar.field_deg=180 --robot lidar.first_beam_deg=-90 "
         "--set range_rounding_m=0.05 --not-told range_rounding_m --out half7\n"
         "  wainscot simulate --random-house 7 --seed 3 --markers 6 --survey --set marker_misread_rate=0.02 --out "
         "marked7\n"
         "  wainscot simulate --random-house 7 --seed 3 --lines 6 --survey --set line_misnamed_rate=0.1 --out lined7\n"
         "  wainscot simulate PLAN.yaml --set range_scale=1.005 --set stamp_delay_s=0..0.01 --out DRIVE\n";
}

// scans or returns, wheels or odometry; two of them joined by a comma.
void apply_form(const std::string& form, simulator::RobotSpec& robot) {
  const auto both = [&form](const char* one, const char* other) {
    return form.find(one) != std::string::npos && form.find(other) != std::string::npos;
  };
  if (both("wheels", "odometry") || both("scans", "returns")) {
    throw InputError(fmt::format("--form {}: a drive holds wheels or odometry, and scans or returns, not both.", form));
  }
  std::size_t from = 0;
  while (from <= form.size()) {
    const std::size_t to = std::min(form.find(',', from), form.size());
    const std::string part = form.substr(from, to - from);
    if (part == "wheels") {
      robot.motion_log = simulator::MotionLog::wheels;
    } else if (part == "odometry") {
      robot.motion_log = simulator::MotionLog::odometry;
    } else if (part == "scans") {
      robot.lidar_log = simulator::LidarLog::scans;
    } else if (part == "returns") {
      robot.lidar_log = simulator::LidarLog::returns;
    } else {
      throw InputError(
          fmt::format("--form {}: \"{}\" is not known; write wheels or odometry, scans or returns.", form, part));
    }
    from = to + 1;
  }
}

simulator::Plan chosen_plan(const Options& options) {
  const int given =
      (options.plan.empty() ? 0 : 1) + (options.random_house ? 1 : 0) + (options.hard_place.empty() ? 0 : 1);
  if (given != 1) {
    throw InputError(
        "Give one thing to simulate: a PLAN.yaml, --random-house with a number or --hard-place with a name; "
        "not two of them.");
  }
  if (options.random_house) return simulator::random_house(*options.random_house);
  if (!options.hard_place.empty()) return simulator::hard_place(options.hard_place, options.seed);
  return simulator::read_plan(options.plan);
}

simulator::Plan plan_for(const Options& options) {
  simulator::Plan plan = chosen_plan(options);
  if (options.like_recorded) {
    // A hard place may be hard by its lidar.
    const bool hard = !options.hard_place.empty();
    plan = simulator::like_recorded(std::move(plan), options.seed,
                                    hard ? simulator::RecordedLidar::kept : simulator::RecordedLidar::drawn);
  }
  if (options.calibrated) {
    plan.defects = simulator::calibrated(plan.defects);
    plan.uncertainties_stated = true;
  }
  if (options.perfect) plan.defects = simulator::perfect(plan.defects);
  if (options.range_scale) simulator::set_knob(plan.defects, "range_scale", fmt::format("{}", *options.range_scale));
  for (const std::string& setting : options.settings) {
    const std::size_t equals = setting.find('=');
    if (equals == std::string::npos) {
      throw InputError(fmt::format("--set {}: write it as defect=value.", setting));
    }
    simulator::set_knob(plan.defects, setting.substr(0, equals), setting.substr(equals + 1));
  }
  for (const std::string& setting : options.robot_settings) {
    const std::size_t equals = setting.find('=');
    if (equals == std::string::npos) {
      throw InputError(fmt::format("--robot {}: write it as key=value, such as lidar.beams=361.", setting));
    }
    simulator::set_robot_key(plan.robot, setting.substr(0, equals), setting.substr(equals + 1), "--robot " + setting);
  }
  for (const std::string& name : options.not_told) plan.not_told.emplace_back(simulator::knob_entry(name).name);
  if (options.markers > 0) plan.markers = simulator::lay_out_markers(plan, options.markers);
  if (options.lines > 0) plan.lines = simulator::lay_out_lines(plan, options.lines);
  if (options.survey && plan.markers.empty() && plan.lines.empty()) {
    throw InputError("--survey: there is nothing to survey; add --markers COUNT or --lines COUNT.");
  }
  plan.markers_surveyed = plan.markers_surveyed || (options.survey && !plan.markers.empty());
  plan.lines_measured = plan.lines_measured || (options.survey && !plan.lines.empty());
  plan.robot.gyro = plan.robot.gyro || options.gyro;
  if (!options.form.empty()) apply_form(options.form, plan.robot);
  return simulator::another_day(plan, options.seed, options.day);
}

/// Throws `InputError` where what `--out` replaces is something else than what it makes, or holds what would be lost.
void require_replaceable(const Options& options) {
  const std::filesystem::path folder = options.out;
  const bool runs = options.calibration_runs;
  if (!std::filesystem::exists(folder / (runs ? "runs.csv" : "robot.yaml"))) {
    throw InputError(fmt::format("{}: is there and is not {}, so it is not replaced; choose another name.", options.out,
                                 runs ? "a folder of calibration runs" : "a drive"));
  }
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (!entry.is_directory()) continue;
    throw InputError(fmt::format("{}: is a folder, which would be lost; move it away or choose another name.",
                                 entry.path().string()));
  }
}

/// Before the work: whatever would stop the writing, or lose what is there.
void check_outputs(const Options& options) {
  require_different_names({options.out, options.write_plan, options.surfaces});
  for (const std::string& file : {options.write_plan, options.surfaces}) {
    if (!file.empty()) check_whole_file_destination(file, options.replace);
  }
  if (options.out.empty()) return;
  if (options.replace && std::filesystem::exists(options.out)) {
    require_replaceable(options);
  } else {
    check_whole_file_destination(options.out, options.replace);
  }
}

/// `write` makes a file or a folder, which takes its name when it is whole.
template <typename Write>
void make(const std::string& name, bool replace, const Write& write) {
  const std::filesystem::path given = name;
  const std::filesystem::path plain = given.has_filename() ? given : given.parent_path();
  const WorkingFolder working(plain);
  try {
    write(working.made());
  } catch (const InputError& error) {
    // Of the name that the user gave, rather than of where it is made.
    const std::string what = error.what();
    const std::size_t reason = what.find(": cannot be written");
    throw InputError(reason == std::string::npos ? what : name + what.substr(reason));
  }
  stop_if_asked();
  take_names({{working.made(), plain, replace}});
}

void run(const Options& options) {
  check_outputs(options);
  const simulator::Plan plan = plan_for(options);
  if (options.out.empty() && options.write_plan.empty() && options.surfaces.empty()) {
    throw InputError("Say what to write: --out DRIVE, --write-plan FILE or --surfaces FILE.");
  }
  if (!options.write_plan.empty()) {
    make(options.write_plan, options.replace, [&](const auto& file) { simulator::write_plan(plan, file); });
  }
  if (!options.surfaces.empty()) {
    make(options.surfaces, options.replace,
         [&](const auto& file) { simulator::write_surfaces(simulator::surfaces_of(plan), file); });
  }
  if (options.out.empty()) return;
  if (options.calibration_runs) {
    const simulator::SimulatedRuns runs = simulator::simulate_runs(plan, {}, options.seed);
    make(options.out, options.replace, [&](const auto& folder) { simulator::write_runs(runs, folder); });
    fmt::print(stderr, "Simulated {} calibration runs of {}, written to {}. Next:\n  wainscot calibrate {}\n",
               runs.runs.size(), plan.name.empty() ? "the plan's robot" : plan.name, options.out, options.out);
    return;
  }
  const simulator::SimulatedDrive drive = simulator::simulate(plan, options.seed);
  make(options.out, options.replace, [&](const auto& folder) { simulator::write_drive(drive, plan.robot, folder); });
  fmt::print(stderr, "Simulated {} of {}, {:.0f} s long, written to {}.\n",
             drive.scans.empty() ? fmt::format("{} returns", drive.returns.size())
                                 : fmt::format("{} scans", drive.scans.size()),
             plan.name.empty() ? "the plan" : plan.name, drive.truth.trajectory.back().time_s, options.out);
}

/// A larger number would become another one, without a word.
std::string fault_of_whole_number(const std::string& text) {
  std::uint64_t number = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (fault == std::errc() && end == text.data() + text.size()) return {};
  return fmt::format("{} is not a whole number from 0 to {}", printable(text),
                     std::numeric_limits<std::uint64_t>::max());
}

/// What goes wrong on the drive, and what else is recorded.
void add_defects(CLI::App& command, Options& options) {
  command.add_option("--range-scale", options.range_scale, "measured range / true range")->type_name("FACTOR");
  command
      .add_option("--set", options.settings,
                  "a defect of the list below; its value may be FROM..TO or MEAN~SD; may be given often")
      ->type_name("DEFECT=VALUE")
      ->allow_extra_args(false);
  command
      .add_option("--robot", options.robot_settings,
                  "of the plan's robot, such as lidar.field_deg=180; may be given often")
      ->type_name("KEY=VALUE")
      ->allow_extra_args(false);
  command
      .add_option(
          "--not-told", options.not_told,
          "a defect that robot.yaml does not tell: its noise is as if this had its default, as on a data sheet; "
          "may be given often")
      ->type_name("DEFECT")
      ->allow_extra_args(false);
  command.add_option("--markers", options.markers, "lay so many numbered markers beside the route: markers.csv")
      ->type_name("N")
      ->check(whole_number_from(1, 200));
  command
      .add_option("--lines", options.lines,
                  "lay so many lines along straights of the route, which the robot follows by itself: followed.csv")
      ->type_name("N")
      ->check(whole_number_from(1, 200));
  command.add_flag("--survey", options.survey, "and measure where they lie: marker_map.csv, line_map.csv");
  command.add_flag("--gyro", options.gyro, "the robot has a gyro: gyro.csv");
  command.add_option("--form", options.form, "wheels or odometry, scans or returns, joined by a comma")
      ->type_name("FORM");
}

}  // namespace

void add_simulate(CLI::App& app) {
  const auto options = std::make_shared<Options>();
  CLI::App* command = app.add_subcommand("simulate", "Make a simulated drive with its true path.");
  command->add_option("PLAN", options->plan, "house, robot, route and defects (YAML)");
  command->add_option("--random-house", options->random_house, "instead of a plan: a home and robot made from a number")
      ->type_name("NUMBER")
      ->check(fault_of_whole_number);
  command
      ->add_option("--hard-place", options->hard_place,
                   "instead of a plan: a place of the gallery below, drawn from the seed")
      ->type_name("NAME");
  command->add_option("--seed", options->seed, "draws all defects")
      ->type_name("NUMBER")
      ->check(fault_of_whole_number)
      ->capture_default_str();
  command
      ->add_option("--day", options->day,
                   "2, 3 ...: the same robot in the same house on another day: another start and way, some furniture "
                   "moved (for wainscot extend)")
      ->type_name("N")
      ->check(whole_number_from(1, 1000))
      ->capture_default_str();
  command->add_option("--out", options->out, "the folder for the drive")->type_name("DRIVE");
  command->add_flag("--calibration-runs", options->calibration_runs,
                    "instead of a drive: straights, turns and squares of the same robot, measured with a tape");
  command->add_flag("--replace", options->replace, "replace what is there already");
  command->add_option("--write-plan", options->write_plan, "write the plan, defects included, to a YAML file")
      ->type_name("FILE");
  command->add_option("--surfaces", options->surfaces, "write the true faces of the house to a CSV file")
      ->type_name("FILE");
  CLI::Option* calibrated = command->add_flag("--calibrated", options->calibrated,
                                              "wheels known to 0.1 %, track width to 1 %, and robot.yaml says so");
  CLI::Option* perfect = command->add_flag("--perfect", options->perfect, "no defects at all")->excludes(calibrated);
  command
      ->add_flag(
          "--like-recorded", options->like_recorded,
          "robot and log as in recordings of real robots: scans 0.5 to 2 m apart, 180 degrees, ranges in steps, "
          "odometry.csv with heavy tails and slips, a robot.yaml that does not tell (a hard place keeps its lidar)")
      ->excludes(perfect);
  add_defects(*command, *options);
  command->footer(footer_text);
  command->callback([options] { run(*options); });
}

}  // namespace wainscot
