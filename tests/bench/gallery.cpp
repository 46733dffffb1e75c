// Maps the simulator's gallery of hard places, each drawn from several seeds, and prints one line a place. All figures
// are simulated. A place that cannot be mapped has its row too.
//
//   build/tests/bench/gallery --seeds 3
//   build/tests/bench/gallery --only lifted-robot --seeds 10
//   build/tests/bench/gallery --from-recordings --seeds 3
//   build/tests/bench/gallery --only lifted-robot --like-recorded

#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <exception>
#include <map>
#include <sstream>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/gallery.hpp"
#include "apps/simulator/like_recorded.hpp"
#include "core/angles.hpp"
#include "core/errors.hpp"
#include "tests/bench/house_score.hpp"

namespace wainscot::bench {
namespace {

constexpr double kMostMemory_mb = 500.0;  // for an hour's drive, so for all shorter ones too

struct Options {
  std::uint64_t first = 1;
  int seeds = 3;
  int jobs = 2;
  std::vector<std::string> only;
  bool from_recordings = false;
  bool like_recorded = false;
};

/// One place from one seed. What went through the pipe from the process that mapped it.
struct Case {
  std::string place;
  std::uint64_t seed = 0;
  bool like_recorded = false;
  double drive_s = 0.0;
  double build_cpu_s = 0.0;
  double ate_m = 0.0;
  double heading_rad = 0.0;
  double odometry_ate_m = 0.0;
  int right = 0;
  int wrong = 0;
  int missed = 0;
  int nodes = 0;
  double peak_mb = 0.0;
  int held = 0;  ///< 1: the stated 95 % region of the middle node's pose holds the truth
  std::vector<std::string> warnings;
  std::string failure;
};

int pose_held(const HouseScore& score) {
  return std::any_of(score.coverage.begin(), score.coverage.end(),
                     [](const Coverage& c) { return c.name == "pose: all three" && c.held; })
             ? 1
             : 0;
}

std::string one_line(std::string text) {
  std::replace(text.begin(), text.end(), '\n', ' ');
  return text;
}

std::string told(const HouseScore& s) {
  std::string text = fmt::format("{} {} {} {} {} {} {} {} {} {} {}\n{}\n", s.drive_s, s.build_cpu_s,
                                 s.path.position_rmse_m, s.path.heading_rmse_rad, s.odometry.position_rmse_m,
                                 s.closures.right, s.closures.wrong, s.closures.revisits - s.closures.revisits_closed,
                                 s.nodes, s.peak_mb, pose_held(s), one_line(s.failure));
  for (const std::string& warning : s.warnings) {
    text += one_line(warning) + "\n";
  }
  return text;
}

/// Reads what `told` wrote; a process that ended otherwise has told too little.
void listen(const std::string& text, int status, Case& one) {
  std::istringstream in(text);
  in >> one.drive_s >> one.build_cpu_s >> one.ate_m >> one.heading_rad >> one.odometry_ate_m >> one.right >>
      one.wrong >> one.missed >> one.nodes >> one.peak_mb >> one.held;
  std::string line;
  std::getline(in, line);
  if (WIFSIGNALED(status)) {
    one.failure = fmt::format("ended by signal {}", WTERMSIG(status));
  } else if (!in || !std::getline(in, one.failure)) {
    one.failure = "ended without a word";
  }
  while (std::getline(in, line)) {
    one.warnings.push_back(line);
  }
}

/// A case in a process of its own, so that memory can be measured and no failure takes the others along.
struct Running {
  std::size_t index = 0;
  int pipe = -1;
};

[[noreturn]] void run_and_tell(const Case& one, int pipe) {
  HouseScore score;
  try {
    simulator::Plan plan = simulator::hard_place(one.place, one.seed);
    if (one.like_recorded) {
      plan = simulator::like_recorded(std::move(plan), one.seed, simulator::RecordedLidar::kept);
    }
    score = score_house(plan, one.seed);
  } catch (const std::exception& error) {
    score.failure = error.what();
  }
  const std::string text = told(score);
  std::size_t written = 0;
  while (written < text.size()) {
    const ssize_t n = write(pipe, text.data() + written, text.size() - written);
    if (n <= 0) {
      break;
    }
    written += static_cast<std::size_t>(n);
  }
  _exit(written == text.size() ? 0 : 1);
}

std::pair<pid_t, Running> start(const std::vector<Case>& cases, std::size_t index) {
  int ends[2];
  if (pipe(ends) != 0) {
    throw std::runtime_error("no pipe can be made");
  }
  std::fflush(nullptr);
  const pid_t child = fork();
  if (child < 0) {
    throw std::runtime_error("no process can be started");
  }
  if (child == 0) {
    close(ends[0]);
    run_and_tell(cases[index], ends[1]);
  }
  close(ends[1]);
  return {child, {index, ends[0]}};
}

std::string all_of(int pipe) {
  std::string text;
  char block[4096];
  for (ssize_t n = 0; (n = read(pipe, block, sizeof block)) > 0;) {
    text.append(block, static_cast<std::size_t>(n));
  }
  close(pipe);
  return text;
}

std::string case_line(const Case& one) {
  if (!one.failure.empty()) {
    return fmt::format("{} seed {}: {}\n", one.place, one.seed, one.failure);
  }
  std::string text = fmt::format(
      "{} seed {}: {:.1f} mm, {:.3f} deg, odometry {:.0f} mm, closures {} right {} wrong {} missed, {} nodes, {:.2f} s "
      "for {:.0f} s, {:.0f} MB\n",
      one.place, one.seed, 1e3 * one.ate_m, kDegreesPerRadian * one.heading_rad, 1e3 * one.odometry_ate_m, one.right,
      one.wrong, one.missed, one.nodes, one.build_cpu_s, one.drive_s, one.peak_mb);
  for (const std::string& warning : one.warnings) {
    text += fmt::format("    {}\n", warning);
  }
  return text;
}

// A report is shorter than a pipe holds (64 KiB on Linux, pipe(7)), so that a process can end before it is heard.
void run_all(std::vector<Case>& cases, const Options& options) {
  std::map<pid_t, Running> running;
  std::size_t next = 0;
  while (next < cases.size() || !running.empty()) {
    while (next < cases.size() && running.size() < static_cast<std::size_t>(options.jobs)) {
      running.insert(start(cases, next++));
    }
    int status = 0;
    const pid_t done = wait(&status);
    const auto found = running.find(done);
    if (found == running.end()) {
      throw std::runtime_error("a process was lost");
    }
    Case& one = cases[found->second.index];
    listen(all_of(found->second.pipe), status, one);
    running.erase(found);
    fmt::print(stderr, "{}", case_line(one));
  }
}

double at(std::vector<double> values, double fraction) {
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(std::ceil(fraction * static_cast<double>(values.size()))) - 1];
}

std::string row(const std::string& place, const std::vector<Case>& cases) {
  std::vector<double> ate;
  std::vector<double> heading;
  std::vector<double> odometry;
  Case sum;
  int failed = 0;
  int warned = 0;
  double peak_mb = 0.0;
  for (const Case& one : cases) {
    if (one.place != place) {
      continue;
    }
    if (!one.failure.empty()) {
      ++failed;
      continue;
    }
    ate.push_back(1e3 * one.ate_m);
    heading.push_back(kDegreesPerRadian * one.heading_rad);
    odometry.push_back(1e3 * one.odometry_ate_m);
    sum.right += one.right;
    sum.wrong += one.wrong;
    sum.missed += one.missed;
    sum.drive_s += one.drive_s;
    sum.build_cpu_s += one.build_cpu_s;
    peak_mb = std::max(peak_mb, one.peak_mb);
    warned += one.warnings.empty() ? 0 : 1;
    sum.held += one.held;
  }
  if (ate.empty()) {
    return fmt::format("{:<22}{:>6}  no map\n", place, failed);
  }
  return fmt::format(
      "{:<22}{:>6}{:>10.1f}{:>10.1f}{:>8.3f}{:>8.3f}{:>10.0f}{:>7}{:>6}{:>7}{:>5}/{:<3}{:>4}/{:<3}{:>8.2f}{:>6.0f} "
      "{}\n",
      place, failed, at(ate, 0.5), at(ate, 1.0), at(heading, 0.5), at(heading, 1.0), at(odometry, 0.5), sum.right,
      sum.wrong, sum.missed, warned, ate.size(), sum.held, ate.size(), 60.0 * sum.build_cpu_s / sum.drive_s, peak_mb,
      peak_mb <= kMostMemory_mb ? "ok" : "too much");
}

bool learnt_from_recordings(const std::string& name) {
  const auto all = simulator::gallery();
  return std::any_of(all.begin(), all.end(), [&](const auto& p) { return p.name == name && p.from_recordings; });
}

void print_table(const char* title, const std::vector<std::string>& places, const std::vector<Case>& cases,
                 const Options& options) {
  if (places.empty()) {
    return;
  }
  fmt::print("{}{}, seeds {} to {}. ATE: root mean square of the path's error after rigid alignment.\n", title,
             options.like_recorded ? ", logged as recordings are" : "", options.first,
             options.first + static_cast<std::uint64_t>(options.seeds) - 1);
  fmt::print("{:<22}{:>6}{:>20}{:>16}{:>10}{:>20}{:>9}{:>8}{:>8}{:>6}\n", "", "no", "ATE, mm", "heading, deg",
             "odometry", "closures", "warned", "95 %", "CPU s", "peak");
  fmt::print("{:<22}{:>6}{:>10}{:>10}{:>8}{:>8}{:>10}{:>7}{:>6}{:>7}{:>9}{:>8}{:>8}{:>6}\n", "place", "map", "median",
             "worst", "median", "worst", "ATE, mm", "right", "wrong", "missed", "of", "held", "a min", "MB");
  for (const std::string& place : places) {
    fmt::print("{}", row(place, cases));
  }
}

/// Those that recordings of real robots taught have a table of their own.
void print_tables(const std::vector<std::string>& places, const std::vector<Case>& cases, const Options& options) {
  std::vector<std::string> ordinary;
  std::vector<std::string> recorded;
  for (const std::string& place : places) {
    (learnt_from_recordings(place) ? recorded : ordinary).push_back(place);
  }
  print_table("Simulated hard places", ordinary, cases, options);
  print_table("Simulated hard places that recordings of real robots taught", recorded, cases, options);
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Maps the gallery of hard places (simulated) and scores the maps against the truth.");
  app.add_option("--first", options.first, "the first seed")->capture_default_str();
  app.add_option("--seeds", options.seeds, "how many seeds")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--jobs", options.jobs, "cases at a time")->capture_default_str()->check(CLI::Range(1, 256));
  app.add_option("--only", options.only, "these places only; may be given often")->allow_extra_args(false);
  app.add_flag("--from-recordings", options.from_recordings, "only places that recordings of real robots taught");
  app.add_flag("--like-recorded", options.like_recorded, "log every drive as `wainscot simulate --like-recorded` does");
  CLI11_PARSE(app, argc, argv);
  std::vector<std::string> places = options.only;
  if (places.empty()) {
    for (const simulator::HardPlace& place : simulator::gallery()) {
      if (place.from_recordings || !options.from_recordings) {
        places.emplace_back(place.name);
      }
    }
  }
  try {
    std::vector<Case> cases;
    for (const std::string& place : places) {
      simulator::need_hard_place(place);
      for (int i = 0; i < options.seeds; ++i) {
        Case one;
        one.place = place;
        one.like_recorded = options.like_recorded;
        one.seed = options.first + static_cast<std::uint64_t>(i);
        cases.push_back(one);
      }
    }
    run_all(cases, options);
    print_tables(places, cases, options);
  } catch (const InputError& wrong) {
    fmt::print(stderr, "{}\n", wrong.what());
    return 2;
  } catch (const std::runtime_error& error) {
    fmt::print(stderr, "{}\n", error.what());
    return 1;
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
