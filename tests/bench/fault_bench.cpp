// Puts faults into simulated drives, one at a time, and prints how many of them `check` finds, whether what it proposes
// mends the drive, and what it says of healthy drives. All figures are simulated.
//
//   build/tests/bench/fault_bench                          # the table; some minutes
//   build/tests/bench/fault_bench --only mirrored --drives 30 --talk

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <map>
#include <mutex>
#include <string>
#include <thread>
#include <tuple>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "core/errors.hpp"
#include "core/trajectory_error.hpp"
#include "graph/check/log_check.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/bench/faults.hpp"

namespace wainscot::bench {
namespace {

struct Options {
  std::uint64_t first = 1;
  int drives = 10;
  int healthy = 40;
  int sparse = 10;
  std::string level = "calibrated";
  int maps = 3;
  int jobs = 2;
  double drive_s = 100.0;
  std::vector<std::string> only;
  bool talk = false;
};

/// One drive with a fault, or a healthy one.
struct Case {
  const InjectedFault* fault = nullptr;  ///< nullptr: healthy
  std::string level = "calibrated";
  std::uint64_t house = 0;
  bool map = false;
  bool sparse = false;  ///< some seconds with few returns
  // What came out.
  bool found = false;
  bool first = false;    ///< and the first of the findings
  bool mended = false;   ///< nothing is found any more after at most three rounds of mending
  int others = 0;        ///< findings that were not expected
  int events = 0;        ///< of these, what is to be expected of such a drive
  double ate_ratio = 0;  ///< of the map of the mended drive to that of the healthy one; 0: not mapped
  std::string told;
};

/// Drives without a fault that several cases need.
class Drives {
 public:
  explicit Drives(double drive_s) : drive_s_(drive_s) {}

  FaultyDrive healthy(const Case& one) {
    const Key key{one.house,
                  one.level,
                  one.fault != nullptr && one.fault->needs_wheels,
                  one.fault != nullptr && one.fault->needs_scans,
                  one.fault != nullptr && one.fault->needs_odometry,
                  one.fault != nullptr && one.fault->needs_gyro,
                  one.sparse};
    {
      const std::lock_guard<std::mutex> lock(mutex_);
      const auto known = drives_.find(key);
      if (known != drives_.end()) return known->second;
    }
    FaultyDrive drive = simulated(plan_of(one), one.house);
    if (one.sparse) {
      constexpr double kSeconds = 40.0;  // a robot that hardly left its place
      constexpr std::size_t kBeams = 60;
      cut(drive.simulated, kSeconds);
      thin_out(drive.simulated, kBeams);
    }
    const std::lock_guard<std::mutex> lock(mutex_);
    return drives_.emplace(key, std::move(drive)).first->second;
  }

  FaultyDrive faulty(const Case& one) {
    if (one.fault == nullptr) return healthy(one);
    simulator::Random random(one.house, "fault");
    FaultyDrive drive;
    if (one.fault->before) {
      simulator::Plan plan = plan_of(one);
      one.fault->before(plan, random);
      drive = simulated(plan, one.house);
    } else {
      drive = healthy(one);
    }
    if (one.fault->after) one.fault->after(drive, random);
    return drive;
  }

 private:
  using Key = std::tuple<std::uint64_t, std::string, bool, bool, bool, bool, bool>;

  static simulator::Plan plan_of(const Case& one) {
    simulator::Plan plan = short_plan(one.house, one.level);
    if (one.fault != nullptr) prepare(plan, *one.fault);
    if (one.sparse) plan.robot.lidar_log = simulator::LidarLog::scans;
    return plan;
  }

  FaultyDrive simulated(const simulator::Plan& plan, std::uint64_t house) const {
    FaultyDrive drive{simulator::simulate(plan, house), plan.robot};
    cut(drive.simulated, drive_s_);
    return drive;
  }

  double drive_s_;
  std::mutex mutex_;
  std::map<Key, FaultyDrive> drives_;
};

double ate_of(const FaultyDrive& drive) {
  MapperOptions options;
  options.threads = 1;
  const Map map = build_map(written_and_read(drive).drive, options);
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  return absolute_trajectory_error(path, drive.simulated.truth.trajectory).position_rmse_m;
}

std::string told_of(const LogCheck& check) {
  std::string text;
  for (const Finding& finding : check.findings) {
    text += fmt::format("    {} ({}): {}\n", fault_name(finding.fault), finding.what, finding.figure);
    for (const std::string& line : finding.lines) text += fmt::format("      {}\n", line);
  }
  return text;
}

/// Real robots slip and lose rows, and so do those that are like recorded ones; a lidar of few returns sees little.
bool is_to_be_expected(Fault fault, const Case& one) {
  using enum Fault;
  if (one.sparse && fault == too_little_seen) return true;
  return one.level == "like-recorded" &&
         (fault == slip || fault == stuck || fault == lifted || fault == lost_wheel_rows || fault == lost_scans ||
          fault == too_little_seen || fault == too_fast);
}

void judge(const LogCheck& check, Case& one) {
  const std::vector<Fault> expected = one.fault == nullptr ? std::vector<Fault>{} : one.fault->expected;
  const auto is_named = [&check](Fault fault) {
    return std::any_of(check.findings.begin(), check.findings.end(),
                       [fault](const Finding& finding) { return names(finding, {fault}); });
  };
  one.found = !expected.empty() && std::all_of(expected.begin(), expected.end(), is_named);
  for (std::size_t i = 0; i < check.findings.size(); ++i) {
    const bool right = names(check.findings[i], expected);
    one.first = one.first || (i == 0 && right && names(check.findings[i], {expected.front()}));
    one.others += right ? 0 : 1;
    one.events += !right && is_to_be_expected(check.findings[i].fault, one) ? 1 : 0;
  }
  one.told = told_of(check);
}

void run_case(Case& one, Drives& drives) {
  LogCheckOptions checking;
  checking.threads = 1;
  FaultyDrive drive = drives.faulty(one);
  LogCheck check = check_log(written_and_read(drive), checking);
  judge(check, one);
  if (one.fault == nullptr || !one.fault->mends) return;
  constexpr int kRounds = 3;
  for (int round = 0; round < kRounds && !check.findings.empty(); ++round) {
    mend(drive, check, one.fault->expected);
    check = check_log(written_and_read(drive), checking);
  }
  one.mended = check.findings.empty();
  if (!one.mended) one.told += "  after mending:\n" + told_of(check);
  if (one.map) one.ate_ratio = ate_of(drive) / ate_of(drives.healthy(one));
}

void run_all(std::vector<Case>& cases, const Options& options) {
  Drives drives(options.drive_s);
  std::atomic<std::size_t> next{0};
  std::mutex talk;
  const auto work = [&] {
    for (std::size_t i = next++; i < cases.size(); i = next++) {
      Case& one = cases[i];
      try {
        run_case(one, drives);
      } catch (const std::exception& error) {
        one.told += fmt::format("    stopped: {}\n", error.what());
      }
      const bool odd = one.others > 0 || (one.fault != nullptr && (!one.found || (one.fault->mends && !one.mended)));
      if (!options.talk && !odd) continue;
      const std::lock_guard<std::mutex> lock(talk);
      fmt::print(stderr, "{}, house {}:{}\n{}", one.fault == nullptr ? "healthy, " + one.level : one.fault->name,
                 one.house, one.fault == nullptr || one.found ? "" : " MISSED", one.told);
    }
  };
  std::vector<std::thread> threads;
  for (int job = 0; job < options.jobs; ++job) threads.emplace_back(work);
  for (std::thread& thread : threads) thread.join();
}

std::string ratio_text(std::vector<double> ratios) {
  if (ratios.empty()) return "-";
  std::sort(ratios.begin(), ratios.end());
  return fmt::format("{:.2f}", ratios[ratios.size() / 2]);
}

void print_row(const InjectedFault& fault, const std::vector<Case>& cases, Case& sum, int& drives) {
  Case row;
  int all = 0;
  int found = 0;
  int first = 0;
  int mended = 0;
  int others = 0;
  std::vector<double> ratios;
  for (const Case& one : cases) {
    if (one.fault != &fault) continue;
    ++all;
    found += one.found ? 1 : 0;
    first += one.first ? 1 : 0;
    mended += one.mended ? 1 : 0;
    others += one.others;
    if (one.ate_ratio > 0.0) ratios.push_back(one.ate_ratio);
  }
  fmt::print("{:<40}{:>7}{:>7}{:>8}{:>7}{:>8}{:>9}{:>9}\n", fault.name, all, found, all - found, first,
             fault.mends ? std::to_string(mended) : "-", others, ratio_text(ratios));
  sum.others += others;
  sum.house += static_cast<std::uint64_t>(found);
  drives += all;
}

void print_healthy(const std::vector<Case>& cases, const std::string& level, bool sparse) {
  int all = 0;
  int alarmed = 0;
  int events = 0;
  for (const Case& one : cases) {
    if (one.fault != nullptr || one.level != level || one.sparse != sparse) continue;
    ++all;
    alarmed += one.others > one.events ? 1 : 0;
    events += one.events > 0 ? 1 : 0;
  }
  if (all == 0) return;
  fmt::print("healthy drives, {}{}: {}, with a false alarm {}", level, sparse ? ", 40 s with 60 beams" : "", all,
             alarmed);
  if (events > 0) fmt::print("; told to have slipped, lost rows or seen too little {}", events);
  fmt::print("\n");
}

void print_table(const std::vector<Case>& cases, const Options& options) {
  fmt::print(
      "Simulated: faults in {:.0f} s of random homes from house {} on ({}). first: the first thing said; mended: after "
      "doing\n"
      "what it proposes, a new check finds nothing; besides: findings beside the fault; ATE: path error of the mended\n"
      "drive's map / that of the healthy drive's, median of up to {}.\n\n",
      options.drive_s, options.first, options.level, options.maps);
  fmt::print("{:<40}{:>7}{:>7}{:>8}{:>7}{:>8}{:>9}{:>9}\n", "fault", "drives", "found", "missed", "first", "mended",
             "besides", "ATE");
  Case sum;
  int drives = 0;
  for (const InjectedFault& fault : injected_faults()) {
    if (std::any_of(cases.begin(), cases.end(), [&](const Case& one) { return one.fault == &fault; })) {
      print_row(fault, cases, sum, drives);
    }
  }
  if (drives > 0) {
    fmt::print("{:<40}{:>7}{:>7}   {:.1f} % found, {} findings besides\n", "all", drives, sum.house,
               100.0 * static_cast<double>(sum.house) / drives, sum.others);
  }
  for (const char* level : {"calibrated", "raw", "like-recorded"}) {
    for (const bool sparse : {false, true}) print_healthy(cases, level, sparse);
  }
}

std::vector<Case> cases_for(const Options& options) {
  std::vector<Case> cases;
  for (const InjectedFault& fault : injected_faults()) {
    const bool wanted =
        options.only.empty() || std::find(options.only.begin(), options.only.end(), fault.name) != options.only.end();
    for (int i = 0; i < (wanted ? options.drives : 0); ++i) {
      Case one;
      one.fault = &fault;
      one.house = options.first + static_cast<std::uint64_t>(i);
      one.map = i < options.maps;
      one.level = options.level;
      cases.push_back(one);
    }
  }
  const bool healthy =
      options.only.empty() || std::find(options.only.begin(), options.only.end(), "healthy") != options.only.end();
  for (int i = 0; i < (healthy ? options.healthy + options.sparse : 0); ++i) {
    Case one;
    one.level = options.level != "calibrated" ? options.level : i % 4 == 3 ? "raw" : "calibrated";
    one.house = options.first + 1000 + static_cast<std::uint64_t>(i);
    one.sparse = i >= options.healthy;
    cases.push_back(one);
  }
  return cases;
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Puts faults into simulated drives and counts how many of them check finds.");
  app.add_option("--first", options.first, "number of the first house; healthy ones begin 1000 later")
      ->capture_default_str();
  app.add_option("--drives", options.drives, "for each fault")->capture_default_str();
  app.add_option("--healthy", options.healthy, "healthy drives, one in four with uncalibrated wheels")
      ->capture_default_str();
  app.add_option("--sparse", options.sparse, "healthy drives of 40 s with 60 beams a scan")->capture_default_str();
  app.add_option("--level", options.level, "of all drives; calibrated: of the healthy ones one in four is raw")
      ->capture_default_str()
      ->check(CLI::IsMember({"calibrated", "raw", "like-recorded"}));
  app.add_option("--maps", options.maps, "drives of each fault that are mapped, mended and healthy")
      ->capture_default_str();
  app.add_option("--seconds", options.drive_s, "length of the drives")->capture_default_str();
  app.add_option("--jobs", options.jobs, "drives at a time")->capture_default_str()->check(CLI::Range(1, 256));
  app.add_option("--only", options.only, "these faults only, or \"healthy\"; may be given often")
      ->allow_extra_args(false);
  app.add_flag("--talk", options.talk, "tell every drive's findings, not the odd ones only");
  CLI11_PARSE(app, argc, argv);
  try {
    std::vector<Case> cases = cases_for(options);
    run_all(cases, options);
    print_table(cases, options);
  } catch (const InputError& wrong) {
    fmt::print(stderr, "{}\n", wrong.what());
    return 2;
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
