// Finds robots in maps of simulated homes that other drives made, and prints how often, how fast and how well. All
// figures are simulated. Not a timed test.
//
//   build/tests/bench/locate --homes 60                        # 10 tries in each
//   build/tests/bench/locate --kind identical-rooms --first 3 --homes 1 --talk
//   build/tests/bench/locate --homes 5 --kind home --rows rows.csv    # the error of every answer called found
//
// A try begins anywhere on a drive of random turns through the house and ends 5 m later. The robot of both drives is
// the same one unless --other-robot says that its true mounting, wheels and clock are drawn anew.

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <stdlib.h>  // mkdtemp

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/random.hpp"
#include "core/angles.hpp"
#include "core/errors.hpp"
#include "io/map/known_map.hpp"
#include "tests/bench/located_home.hpp"
#include "tests/bench/location_try.hpp"

namespace wainscot::bench {
namespace {

constexpr double kTry_m = 5.0;

struct Options {
  std::uint64_t first = 1;
  int homes = 12;
  int tries = 10;
  int jobs = 2;
  std::vector<std::string> kinds;
  std::string keep;
  std::string rows;
  bool other_robot = false;
  bool whole = false;
  bool talk = false;
};

std::vector<LocationTry> tries_in(const std::string& kind, std::uint64_t number, const Options& options) {
  std::string temporary = (std::filesystem::temp_directory_path() / "wainscot-bench-XXXXXX").string();
  if (options.keep.empty() && mkdtemp(temporary.data()) == nullptr) return {};
  const std::filesystem::path folder =
      options.keep.empty() ? std::filesystem::path(temporary)
                           : std::filesystem::path(options.keep) /
                                 fmt::format("{}-{}{}", kind, number, options.other_robot ? "-other" : "");
  const std::optional<LocatedHome> home = home_of(kind, number, options.other_robot, folder);
  std::vector<LocationTry> tries;
  if (home) {
    const KnownMap map = known_map(home->saved);
    const KnownRobot robot = with_found_constants(*home->drive, home->saved);
    simulator::Random random(number, "tries");
    const int count = kind == "lifted" ? 1 : options.tries;
    for (int i = 0; i < count; ++i) {
      const double at = kind == "lifted" ? 0.0 : random.uniform(0.0, 0.88);
      const auto first = static_cast<std::size_t>(at * static_cast<double>(robot.drive.scans.size()));
      if (options.talk) fmt::print(stderr, "{} {} try {}\n", kind, number, i);
      tries.push_back(tried_location(map, *home, robot, first, kind == "lifted" ? 1e9 : kTry_m, kind == "another-house",
                                     options.whole, options.talk, fmt::format("{},{},{},", kind, number, i)));
      tries.back().kind = kind;
      tries.back().home = number;
    }
  }
  if (options.keep.empty()) std::filesystem::remove_all(folder);
  return tries;
}

double at(std::vector<double> values, double fraction) {
  if (values.empty()) return 0.0;
  std::sort(values.begin(), values.end());
  const auto count = static_cast<double>(values.size());
  return values[static_cast<std::size_t>(std::max(1.0, std::ceil(fraction * count))) - 1];
}

void print_kind(const std::string& kind, const std::vector<LocationTry>& all) {
  std::vector<double> errors_m, errors_rad, fixes_s, ways_m;
  int found_rows = 0, all_rows = 0;
  int count = 0, found = 0, known = 0, found_since = 0, wrong = 0, never = 0, right_at_end = 0;
  std::array<int, 3> held{};
  int rows = 0;
  double cpu_s = 0.0, recorded_s = 0.0;
  for (const LocationTry& one : all) {
    if (one.kind != kind) continue;
    ++count;
    found += one.found ? 1 : 0;
    known += one.known_after_m >= 0.0 ? 1 : 0;
    found_since +=
        one.known_after_m >= 0.0 && !one.errors_m.empty() && one.found_after_m <= one.known_after_m + 3.0 ? 1 : 0;
    wrong += one.wrong_rows > 0 ? 1 : 0;
    never += one.found_rows == 0 ? 1 : 0;
    right_at_end += one.right_at_end ? 1 : 0;
    found_rows += one.found_rows;
    all_rows += one.found_rows + one.ambiguous_rows + one.lost_rows;
    cpu_s += one.cpu_s;
    recorded_s += one.recorded_s;
    fixes_s.push_back(one.first_fix_s);
    if (!one.errors_m.empty()) ways_m.push_back(one.found_after_m);
    errors_m.insert(errors_m.end(), one.errors_m.begin(), one.errors_m.end());
    errors_rad.insert(errors_rad.end(), one.errors_rad.begin(), one.errors_rad.end());
    for (const auto& z : one.normalised) {
      ++rows;
      for (std::size_t i = 0; i < 3; ++i) held[i] += std::abs(z[i]) <= 1.96 ? 1 : 0;
    }
  }
  if (count == 0) return;
  const auto share = [](int part, int whole) { return whole > 0 ? 100.0 * part / whole : 0.0; };
  fmt::print(
      "{}: {} tries; right within 3 m {:.1f} %, right at the end {:.1f} %, never called found {:.1f} %, "
      "CONFIDENT AND WRONG {}; scans found {:.1f} %\n",
      kind, count, share(found, count), share(right_at_end, count), share(never, count), wrong,
      share(found_rows, all_rows));
  if (kind == "half-mapped") {
    fmt::print(
        "  {} tries came to within a metre of where the map was driven; of them right within 3 m from there {:.1f} %\n",
        known, share(found_since, known));
  }
  fmt::print(
      "  way until found: median {:.2f} m, 95 % {:.2f} m; first fix {:.0f} ms CPU (median), worst {:.0f} ms; "
      "{:.0f} x as fast as recorded\n",
      at(ways_m, 0.5), at(ways_m, 0.95), 1e3 * at(fixes_s, 0.5), 1e3 * at(fixes_s, 1.0), recorded_s / cpu_s);
  if (rows == 0) return;
  fmt::print(
      "  once found ({} scans): position median {:.1f} mm, 95 % {:.1f} mm, worst {:.0f} mm; heading median "
      "{:.3f} deg, 95 % {:.3f}, worst {:.2f}; 95 % intervals hold {:.1f} % along, {:.1f} % across, {:.1f} % "
      "heading\n",
      rows, 1e3 * at(errors_m, 0.5), 1e3 * at(errors_m, 0.95), 1e3 * at(errors_m, 1.0),
      kDegreesPerRadian * at(errors_rad, 0.5), kDegreesPerRadian * at(errors_rad, 0.95),
      kDegreesPerRadian * at(errors_rad, 1.0), share(held[0], rows), share(held[1], rows), share(held[2], rows));
}

std::vector<LocationTry> all_tries(const Options& options) {
  std::vector<std::pair<std::string, std::uint64_t>> jobs;
  for (int i = 0; i < options.homes; ++i) {
    for (const std::string& kind : options.kinds)
      jobs.emplace_back(kind, options.first + static_cast<std::uint64_t>(i));
  }
  std::vector<std::vector<LocationTry>> results(jobs.size());
  std::atomic<std::size_t> next{0};
  std::mutex talk;
  const auto work = [&] {
    for (std::size_t i = next++; i < jobs.size(); i = next++) {
      results[i] = tries_in(jobs[i].first, jobs[i].second, options);
      const std::lock_guard<std::mutex> lock(talk);
      int k = 0;
      for (const LocationTry& one : results[i]) {
        fmt::print(stderr, "{} {} try {}: {}, {} wrong rows; rows found {} ambiguous {} lost {}\n", one.kind, one.home,
                   k++, one.errors_m.empty() ? "not found" : fmt::format("found after {:.2f} m", one.found_after_m),
                   one.wrong_rows, one.found_rows, one.ambiguous_rows, one.lost_rows);
      }
    }
  };
  std::vector<std::thread> threads;
  for (int job = 0; job < options.jobs; ++job) threads.emplace_back(work);
  for (std::thread& thread : threads) thread.join();
  std::vector<LocationTry> all;
  for (std::vector<LocationTry>& some : results) {
    for (LocationTry& one : some) all.push_back(std::move(one));
  }
  return all;
}

void write_rows(const std::vector<LocationTry>& all, const std::string& file) {
  std::ofstream out(file);
  out << rows_header;
  for (const LocationTry& one : all) out << one.rows;
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Finds robots in maps of simulated homes and scores the answers against the truth.");
  app.add_option("--first", options.first, "number of the first home")->capture_default_str();
  app.add_option("--homes", options.homes, "how many of each kind")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--tries", options.tries, "in each home")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--jobs", options.jobs, "homes at a time")->capture_default_str()->check(CLI::Range(1, 256));
  app.add_option("--kind", options.kinds, "these kinds only; may be given often")
      ->allow_extra_args(false)
      ->check(CLI::IsMember(kKinds));
  app.add_option("--keep", options.keep, "keep maps and drives in this folder, and use those that are there");
  app.add_option("--rows", options.rows, "write all answers called found and their errors to this file");
  app.add_flag("--other-robot", options.other_robot, "the robot to be found is not the one that made the map");
  app.add_flag("--whole", options.whole, "each answer rests on the whole try, also on what comes later");
  app.add_flag("--talk", options.talk, "print answers as they change");
  CLI11_PARSE(app, argc, argv);
  if (options.kinds.empty()) options.kinds = kKinds;
  try {
    const std::vector<LocationTry> all = all_tries(options);
    if (!options.rows.empty()) write_rows(all, options.rows);
    fmt::print("Simulated homes, first {}, {} of each kind; {}.\n", options.first, options.homes,
               options.other_robot ? "another robot than the map's" : "the map's robot");
    for (const std::string& kind : kKinds) print_kind(kind, all);
  } catch (const InputError& wrong) {
    fmt::print(stderr, "{}\n", wrong.what());
    return 2;
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
