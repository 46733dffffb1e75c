// How often the verdict on a map is right: healthy drives and such with a fault put into them are mapped even so, and
// the path found is held against the true one. All figures are simulated.
//
//   build/tests/bench/verdict --drives 3
//   build/tests/bench/verdict --level like-recorded --only healthy --drives 30

#include <algorithm>
#include <array>
#include <atomic>
#include <cstdint>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/mapping/drive_to_map.hpp"
#include "core/errors.hpp"
#include "core/trajectory_error.hpp"
#include "graph/mapping/map_verdict.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/bench/faults.hpp"
#include "tests/bench/temporary_folder.hpp"

namespace wainscot::bench {
namespace {

struct Options {
  std::uint64_t first = 1;
  int drives = 3;
  double drive_s = 100.0;
  std::string level = "calibrated";
  int jobs = 2;
  std::vector<std::string> only;
};

struct Case {
  const InjectedFault* fault = nullptr;  ///< nullptr: healthy
  std::uint64_t house = 0;
  // What came out.
  bool refused = false;  ///< there is no map
  double off_m = 0.0;    ///< the path's error (RMSE, rigid alignment)
  MapVerdict verdict = {};
  bool stopped = false;  ///< `build` without --even-so would not have mapped it
  std::string figures;
};

// What the path's error makes of a map. A cell of the grid is no matter to anyone who navigates; a quarter of a metre
// is half of a robot's width, or of what a door leaves beside it.
constexpr double kGoodM = 0.05;
constexpr double kUnusableM = 0.25;

Grade true_grade(double off_m) {
  return off_m <= kGoodM ? Grade::good : off_m <= kUnusableM ? Grade::usable : Grade::unusable;
}

FaultyDrive drive_of(const Case& one, const Options& options) {
  simulator::Plan plan = short_plan(one.house, options.level);
  simulator::Random random(one.house, "fault");
  if (one.fault != nullptr) prepare(plan, *one.fault);
  if (one.fault != nullptr && one.fault->before) one.fault->before(plan, random);
  FaultyDrive drive{simulator::simulate(plan, one.house), plan.robot};
  cut(drive.simulated, options.drive_s);
  if (one.fault != nullptr && one.fault->after) one.fault->after(drive, random);
  return drive;
}

void run_case(const Options& options, Case& one) {
  const FaultyDrive faulty = drive_of(one, options);
  const TemporaryFolder folder;
  write_folder(faulty, folder.path() / "drive");
  DriveToMapOptions reading;
  reading.even_so = true;
  reading.threads = 1;
  const Drive drive = drive_to_map(folder.path() / "drive", reading);
  MapperOptions mapping;
  mapping.threads = 1;
  const Map map = build_map(drive, mapping);
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  one.off_m = absolute_trajectory_error(path, faulty.simulated.truth.trajectory).position_rmse_m;
  one.verdict = map_verdict(map, drive);
  one.stopped = std::any_of(drive.warnings.begin(), drive.warnings.end(),
                            [](const std::string& warning) { return warning.starts_with(kMappedEvenSo); });
  const Quality& q = map.quality;
  one.figures = fmt::format("on walls {:.3f}, worst place {:.3f} m, left open {:.1f} m, scale {:.4f}",
                            q.matched_fraction, q.place_sd_worst_m, q.way_left_open_m, q.scale_sd);
}

void run_all(std::vector<Case>& cases, const Options& options) {
  std::atomic<std::size_t> next{0};
  const auto work = [&] {
    for (std::size_t i = next++; i < cases.size(); i = next++) {
      try {
        run_case(options, cases[i]);
      } catch (const std::exception& error) {
        cases[i].refused = true;
        cases[i].figures = error.what();
      }
    }
  };
  std::vector<std::thread> threads;
  for (int job = 0; job < options.jobs; ++job) threads.emplace_back(work);
  for (std::thread& thread : threads) thread.join();
}

void print_table(const std::vector<Case>& cases, const Options& options) {
  constexpr std::array kGrades = {Grade::good, Grade::usable, Grade::unusable};
  fmt::print(
      "Simulated: {} drives of {:.0f} s, houses from {} on ({}). The path found is off the true one (RMSE) by up to {} "
      "m: "
      "good,\nup to {} m: usable, else unusable.\n\n{:<24}{:>10}{:>10}{:>10}\n",
      cases.size(), options.drive_s, options.first, options.level, kGoodM, kUnusableM, "in truth, and told to be",
      "good", "usable", "unusable");
  for (const Grade truth : kGrades) {
    fmt::print("{:<24}", grade_name(truth));
    for (const Grade told : kGrades) {
      fmt::print("{:>10}", std::count_if(cases.begin(), cases.end(), [&](const Case& one) {
                   return !one.refused && true_grade(one.off_m) == truth && one.verdict.grade == told;
                 }));
    }
    fmt::print("\n");
  }
  fmt::print("No map at all: {}. Of those told to be unusable, build had ended before the mapping: {}.\n",
             std::count_if(cases.begin(), cases.end(), [](const Case& one) { return one.refused; }),
             std::count_if(cases.begin(), cases.end(), [](const Case& one) { return !one.refused && one.stopped; }));
}

void print_cases(const std::vector<Case>& cases) {
  for (const Case& one : cases) {
    const std::string name = one.fault == nullptr ? "healthy" : one.fault->name;
    if (one.refused) {
      fmt::print(stderr, "{}, house {}: no map: {}\n", name, one.house, one.figures);
      continue;
    }
    fmt::print(stderr, "{}, house {}: off by {:.3f} m ({}), told {}: {} [{}]\n", name, one.house, one.off_m,
               grade_name(true_grade(one.off_m)), grade_name(one.verdict.grade), one.verdict.reason, one.figures);
  }
}

std::vector<Case> cases_for(const Options& options) {
  const auto wanted = [&options](const std::string& name) {
    return options.only.empty() || std::find(options.only.begin(), options.only.end(), name) != options.only.end();
  };
  std::vector<Case> cases;
  for (int i = 0; i < options.drives; ++i) {
    const std::uint64_t house = options.first + static_cast<std::uint64_t>(i);
    const auto add = [&cases, house](const InjectedFault* fault) {
      cases.emplace_back().fault = fault;
      cases.back().house = house;
    };
    if (wanted("healthy")) add(nullptr);
    for (const InjectedFault& fault : injected_faults()) {
      if (wanted(fault.name)) add(&fault);
    }
  }
  return cases;
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Holds the verdict on maps of simulated drives, healthy and faulty, against their true paths.");
  app.add_option("--first", options.first, "number of the first house")->capture_default_str();
  app.add_option("--drives", options.drives, "healthy ones, and for each fault")->capture_default_str();
  app.add_option("--seconds", options.drive_s, "length of the drives")->capture_default_str();
  app.add_option("--level", options.level, "of the robots")
      ->capture_default_str()
      ->check(CLI::IsMember({"calibrated", "raw", "like-recorded"}));
  app.add_option("--jobs", options.jobs, "drives at a time")->capture_default_str()->check(CLI::Range(1, 256));
  app.add_option("--only", options.only, "these faults only, or \"healthy\"; may be given often")
      ->allow_extra_args(false);
  CLI11_PARSE(app, argc, argv);
  std::vector<Case> cases = cases_for(options);
  run_all(cases, options);
  print_cases(cases);
  print_table(cases, options);
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
