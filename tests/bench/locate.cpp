// Finds robots in maps of simulated homes that other drives made, and prints how often, how fast and how well. All
// figures are simulated. Not a timed test.
//
//   build/tests/bench/locate --homes 60                        # 10 tries in each
//   build/tests/bench/locate --kind identical-rooms --first 3 --homes 1 --talk
//   build/tests/bench/locate --homes 5 --kind home --rows rows.csv    # the error of every answer called found
//
// A try begins anywhere on a drive of random turns through the house and ends 5 m later. The robot of both drives is
// the same one unless --other-robot says that its true mounting, wheels and clock are drawn anew.

#include <ctime>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <stdlib.h>  // mkdtemp

#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <Eigen/Dense>

#include "apps/simulator/gallery.hpp"
#include "apps/simulator/random.hpp"
#include "apps/simulator/random_house.hpp"
#include "apps/simulator/route_planner.hpp"
#include "apps/simulator/simulate.hpp"
#include "apps/simulator/write_drive.hpp"
#include "core/errors.hpp"
#include "core/trajectory_error.hpp"
#include "graph/known/locate.hpp"
#include "graph/mapping/mapper.hpp"
#include "graph/track/keyframes.hpp"
#include "io/log/drive_reader.hpp"
#include "io/map/known_map.hpp"
#include "io/map/map_folder.hpp"

namespace wainscot::bench {
namespace {

constexpr double kDegrees = 57.29577951308232;
constexpr double kWrong_m = 0.20;
constexpr double kWrong_rad = 10.0 / kDegrees;
constexpr double kTry_m = 5.0;

// What a try is about.
const std::vector<std::string> kKinds = {"home",        "identical-rooms", "mirrored-flats", "moved-furniture",
                                         "half-mapped", "lifted",          "another-house"};

struct Options {
  std::uint64_t first = 1;
  int homes = 12;
  int tries = 10;
  int jobs = 2;
  std::vector<std::string> kinds;
  std::string keep;
  std::string rows;
  bool other_robot = false;
  bool talk = false;
};

struct Try {
  std::string kind;
  std::uint64_t home = 0;
  bool found = false;         ///< at the right place, within 3 m of way
  double found_after_m = 0;   ///< way until then
  double known_after_m = -1;  ///< way until it was where the map had been driven; negative: it never was
  int wrong_rows = 0;         ///< called found, at a wrong place
  int ambiguous_rows = 0, lost_rows = 0, found_rows = 0;
  std::vector<double> errors_m, errors_rad;  ///< of the rows called found
  std::vector<std::array<double, 3>> normalised;
  double cpu_s = 0.0, recorded_s = 0.0, first_fix_s = 0.0;
  bool right_at_end = false;  ///< the last row is right
  std::string rows;           ///< those called found, as a table
};

Pose2 pose_at(const std::vector<TimedPose>& path, double time_s) {
  auto after =
      std::lower_bound(path.begin(), path.end(), time_s, [](const TimedPose& row, double t) { return row.time_s < t; });
  if (after == path.begin()) return path.front().pose;
  if (after == path.end()) return path.back().pose;
  Pose2 to = after->pose;
  const TimedPose& before = *(after - 1);
  to.heading_rad = before.pose.heading_rad + wrap_angle(to.heading_rad - before.pose.heading_rad);
  return interpolate(before.pose, to, (time_s - before.time_s) / (after->time_s - before.time_s));
}

double thread_cpu_s() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

simulator::Plan plan_of(const std::string& kind, std::uint64_t number) {
  const bool hard = kind == "identical-rooms" || kind == "mirrored-flats";
  simulator::HouseOptions ordinary;
  ordinary.alike_share = 0.0;  // a kind of its own
  simulator::Plan plan = hard ? simulator::hard_place(kind, number) : simulator::random_house(number, ordinary);
  plan.defects = simulator::calibrated(plan.defects);
  plan.uncertainties_stated = true;
  return plan;
}

void move_furniture(simulator::Plan& plan, simulator::Random& random) {
  for (simulator::Furniture& item : plan.furniture) {
    if (!random.chance(0.4)) continue;
    item.centre.x_m += random.uniform(-0.6, 0.6);
    item.centre.y_m += random.uniform(-0.6, 0.6);
    item.heading_deg += random.uniform(-20.0, 20.0);
  }
}

/// A drive from anywhere to anywhere, again and again.
std::vector<simulator::Waypoint> wander(const simulator::Plan& plan, double way_m, simulator::Random& random) {
  const simulator::FloorGrid grid(plan, plan.robot.radius_m + 0.08);
  const std::vector<double> reach = grid.costs_from(plan.route.front().point);
  std::vector<simulator::Point> goals;
  for (int i = 0; i < grid.cells(); ++i) {
    if (std::isfinite(reach[static_cast<std::size_t>(i)]) && grid.clearance_m(grid.centre(i)) > 0.3) {
      goals.push_back(grid.centre(i));
    }
  }
  const auto some = [&] { return goals[static_cast<std::size_t>(random.below(static_cast<int>(goals.size())))]; };
  std::vector<simulator::Waypoint> route = {{some()}};
  double driven_m = 0.0;
  for (int attempt = 0; driven_m < way_m && attempt < 100; ++attempt) {
    const auto way = grid.way(route.back().point, some(), nullptr);
    if (!way) continue;
    for (std::size_t i = 1; i < way->size(); ++i) {
      if (simulator::norm((*way)[i] - route.back().point) < 0.03) continue;
      driven_m += simulator::norm((*way)[i] - route.back().point);
      route.push_back({(*way)[i], 0.0, random.chance(0.3)});
    }
  }
  return route;
}

void lift_midway(const simulator::Plan& plan, std::vector<simulator::Waypoint>& route, simulator::Random& random) {
  const simulator::FloorGrid grid(plan, plan.robot.radius_m + 0.08);
  const std::size_t from = route.size() / 2;
  for (std::size_t to = route.size() - 2; to > from; --to) {
    if (simulator::norm(route[from].point - route[to].point) < 3.0) continue;
    const auto way = grid.way(route[from].point, route[to].point, nullptr);
    if (!way) continue;
    route[from].lift = simulator::Lift{{way->begin() + 1, way->end()}, random.uniform(-180.0, 180.0)};
    // From where it is put down it drives the way before the lift back.
    std::vector<simulator::Waypoint> rest(route.begin() + static_cast<std::ptrdiff_t>(to) + 1, route.end());
    route.resize(from + 1);
    route.insert(route.end(), rest.begin(), rest.end());
    return;
  }
}

Drive simulated_drive(const simulator::Plan& plan, std::uint64_t seed, const std::filesystem::path& folder) {
  if (!std::filesystem::exists(folder)) {
    simulator::write_drive(simulator::simulate(plan, seed), plan.robot, folder, false);
  }
  return read_drive(folder);
}

/// Only the first part of the drive, so that much of the house is not in its map.
void shorten(Drive& drive) { drive.scans.resize(drive.scans.size() * 2 / 5); }

struct Home {
  SavedMap saved;
  Pose2 truth_from_map;
  std::optional<Drive> drive;  ///< to be located
};

/// nullopt: no map can be made.
std::optional<Home> home_of(const std::string& kind, std::uint64_t number, const Options& options,
                            const std::filesystem::path& folder) {
  simulator::Plan plan = plan_of(kind, number);
  std::filesystem::create_directories(folder);
  Drive mapped = simulated_drive(plan, number, folder / "mapped");
  if (kind == "half-mapped") shorten(mapped);
  if (!std::filesystem::exists(folder / "map")) {
    try {
      MapperOptions mapper;
      mapper.threads = 1;
      write_map(build_map(mapped, mapper), mapped, {"bench", true, true}, folder / "map", false);
    } catch (const PoorData& poor) {
      fmt::print(stderr, "{} {}: {}\n", kind, number, poor.what());
      return std::nullopt;
    }
  }
  Home home{read_map(folder / "map"), {}, std::nullopt};
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : home.saved.map.trajectory) path.push_back({row.time_s, row.pose});
  home.truth_from_map = absolute_trajectory_error(path, mapped.truth).alignment;

  simulator::Random random(number, "locate " + kind);
  if (kind == "another-house") plan = plan_of(kind, number + 100000);
  if (kind == "moved-furniture") move_furniture(plan, random);
  plan.route = wander(plan, kind == "lifted" ? 24.0 : 45.0, random);
  if (kind == "lifted") lift_midway(plan, plan.route, random);
  home.drive = simulated_drive(plan, options.other_robot ? number + 7777 : number, folder / "located");
  return home;
}

double first_fix_s(const KnownMap& map, const Drive& drive, const LidarModel& lidar, std::size_t scan) {
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  const OdometryPath path(steps, {});
  const double begin_s = thread_cpu_s();
  const std::vector<ScanPoint> points =
      prepare_scan(drive.scans[scan], drive.scans[scan].time_s, lidar, drive.robot.lidar, path, Tangent2::Zero());
  Locator locator(map, {drive.robot.lidar.noise_m, drive.robot.lidar.noise_per_m});
  locator.add(points, {}, Eigen::Matrix3d::Identity());
  return thread_cpu_s() - begin_s;
}

/// Whether the robot is within a metre of where the map's robot drove.
bool is_mapped(const Map& map, const Pose2& here) {
  constexpr double kNearM = 1.0;
  return std::any_of(map.trajectory.begin(), map.trajectory.end(), [&here](const TrajectoryRow& row) {
    return (row.pose.translation() - here.translation()).norm() < kNearM;
  });
}

std::string told(const Location& here) {
  std::string text = answer_text(here.answer);
  for (std::size_t i = 0; i < std::min<std::size_t>(3, here.places.size()); ++i) {
    const PlaceInMap& p = here.places[i];
    text += fmt::format("  ({:.2f} {:.2f} {:.2f} +- {:.3f}: {:.2f}/{:.2f} {:.3f})", p.pose.x_m, p.pose.y_m,
                        p.pose.heading_rad, std::sqrt(p.covariance.topLeftCorner<2, 2>().trace()), p.fit.explained(),
                        p.fit.contradicted(), p.fit.misfit());
  }
  return text + fmt::format("  of {}", here.places.size());
}

void judge(const LocatedScan& row, const Pose2& truth, double way_m, bool elsewhere, Try& one) {
  one.right_at_end = false;
  if (row.location.answer == Answer::lost) ++one.lost_rows;
  if (row.location.answer == Answer::ambiguous) ++one.ambiguous_rows;
  if (row.location.answer != Answer::found) return;
  ++one.found_rows;
  const PlaceInMap& place = row.location.places.front();
  Pose2 error = between(truth, place.pose);
  error.heading_rad = wrap_angle(error.heading_rad);
  if (elsewhere || error.translation().norm() > kWrong_m || std::abs(error.heading_rad) > kWrong_rad) {
    ++one.wrong_rows;
    return;
  }
  one.right_at_end = true;
  if (one.errors_m.empty()) {
    one.found_after_m = way_m;
    one.found = way_m <= 3.0;
  }
  one.errors_m.push_back(error.translation().norm());
  one.errors_rad.push_back(std::abs(error.heading_rad));
  const Tangent2 tangent = log(error);
  one.normalised.push_back({tangent[0] / std::sqrt(place.covariance(0, 0)),
                            tangent[1] / std::sqrt(place.covariance(1, 1)),
                            tangent[2] / std::sqrt(place.covariance(2, 2))});
}

constexpr const char* kRowsHeader =
    "kind,home,try,scan,time_s,way_m,returns,speed_m_s,turn_deg_s,along_mm,across_mm,turned_deg,sd_along_mm,"
    "sd_across_mm,sd_turned_deg,explained,contradicted\n";

/// A row of --rows: how far the answer is from the truth, in the robot's frame.
std::string row_text(const LocatedScan& row, const Drive& part, const Pose2& truth, double way_m) {
  const PlaceInMap& place = row.location.places.front();
  Pose2 error = between(truth, place.pose);
  error.heading_rad = wrap_angle(error.heading_rad);
  Pose2 motion = between(pose_at(part.truth, row.time_s - 0.05), pose_at(part.truth, row.time_s + 0.05));
  motion.heading_rad = wrap_angle(motion.heading_rad);
  const auto sd = [&place](int i) { return std::sqrt(place.covariance(i, i)); };
  return fmt::format("{},{:.2f},{:.2f},{},{:.3f},{:.1f},{:.1f},{:.1f},{:.3f},{:.1f},{:.1f},{:.3f},{:.3f},{:.3f}\n",
                     row.scan, row.time_s, way_m, part.scans[row.scan].returns.size(),
                     motion.translation().norm() / 0.1, kDegrees * motion.heading_rad / 0.1, 1e3 * error.x_m,
                     1e3 * error.y_m, kDegrees * error.heading_rad, 1e3 * sd(0), 1e3 * sd(1), kDegrees * sd(2),
                     place.fit.explained(), place.fit.contradicted());
}

/// From scan `first` on, for `way_m`.
Try tried(const KnownMap& map, const Home& home, const KnownRobot& robot, std::size_t first, double most_way_m,
          bool elsewhere, bool talk, const std::string& name) {
  Try one;
  Drive part = robot.drive;
  const std::vector<TimedPose>& truth = part.truth;
  std::vector<double> ways_m = {0.0};
  std::size_t last = first + 1;
  for (; last < part.scans.size() && ways_m.back() < most_way_m; ++last) {
    ways_m.push_back(ways_m.back() + (pose_at(truth, part.scans[last].time_s).translation() -
                                      pose_at(truth, part.scans[last - 1].time_s).translation())
                                         .norm());
  }
  part.scans.assign(robot.drive.scans.begin() + static_cast<std::ptrdiff_t>(first),
                    robot.drive.scans.begin() + static_cast<std::ptrdiff_t>(last));
  one.first_fix_s = first_fix_s(map, part, robot.lidar, 0);
  const double begin_s = thread_cpu_s();
  const std::vector<LocatedScan> rows = locate_drive(map, part, robot.lidar, robot.options);
  one.cpu_s = thread_cpu_s() - begin_s;
  one.recorded_s = part.scans.back().time_s - part.scans.front().time_s;
  const Pose2 map_from_truth = inverse(home.truth_from_map);
  std::string said;
  for (const LocatedScan& row : rows) {
    const Pose2 there = map_from_truth * pose_at(truth, row.time_s);
    if (one.known_after_m < 0.0 && is_mapped(home.saved.map, there)) one.known_after_m = ways_m[row.scan];
    judge(row, there, ways_m[row.scan], elsewhere, one);
    if (row.location.answer == Answer::found) one.rows += name + row_text(row, part, there, ways_m[row.scan]);
    const std::string text = told(row.location);
    if (talk && (row.location.answer == Answer::lost ? said != "lost"
                                                     : text.substr(0, 9) != said.substr(0, 9) || row.scan % 10 == 0)) {
      fmt::print(stderr, "  {:6.2f} s {:5.2f} m, true {:.2f} {:.2f} {:.2f}: {}\n", row.time_s, ways_m[row.scan],
                 there.x_m, there.y_m, wrap_angle(there.heading_rad), text);
    }
    said = row.location.answer == Answer::lost ? "lost" : text;
  }
  return one;
}

std::vector<Try> tries_in(const std::string& kind, std::uint64_t number, const Options& options) {
  std::string temporary = (std::filesystem::temp_directory_path() / "wainscot-bench-XXXXXX").string();
  if (options.keep.empty() && mkdtemp(temporary.data()) == nullptr) return {};
  const std::filesystem::path folder =
      options.keep.empty() ? std::filesystem::path(temporary)
                           : std::filesystem::path(options.keep) /
                                 fmt::format("{}-{}{}", kind, number, options.other_robot ? "-other" : "");
  const std::optional<Home> home = home_of(kind, number, options, folder);
  std::vector<Try> tries;
  if (home) {
    const KnownMap map = known_map(home->saved);
    const KnownRobot robot = with_found_constants(*home->drive, home->saved);
    simulator::Random random(number, "tries");
    const int count = kind == "lifted" ? 1 : options.tries;
    for (int i = 0; i < count; ++i) {
      const double at = kind == "lifted" ? 0.0 : random.uniform(0.0, 0.88);
      const auto first = static_cast<std::size_t>(at * static_cast<double>(robot.drive.scans.size()));
      if (options.talk) fmt::print(stderr, "{} {} try {}\n", kind, number, i);
      tries.push_back(tried(map, *home, robot, first, kind == "lifted" ? 1e9 : kTry_m, kind == "another-house",
                            options.talk, fmt::format("{},{},{},", kind, number, i)));
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

void print_kind(const std::string& kind, const std::vector<Try>& all) {
  std::vector<double> errors_m, errors_rad, fixes_s, ways_m;
  int count = 0, found = 0, known = 0, found_since = 0, wrong = 0, never = 0, right_at_end = 0;
  std::array<int, 3> held{};
  int rows = 0;
  double cpu_s = 0.0, recorded_s = 0.0;
  for (const Try& one : all) {
    if (one.kind != kind) continue;
    ++count;
    found += one.found ? 1 : 0;
    known += one.known_after_m >= 0.0 ? 1 : 0;
    found_since +=
        one.known_after_m >= 0.0 && !one.errors_m.empty() && one.found_after_m <= one.known_after_m + 3.0 ? 1 : 0;
    wrong += one.wrong_rows > 0 ? 1 : 0;
    never += one.found_rows == 0 ? 1 : 0;
    right_at_end += one.right_at_end ? 1 : 0;
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
      "CONFIDENT AND WRONG {}\n",
      kind, count, share(found, count), share(right_at_end, count), share(never, count), wrong);
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
      rows, 1e3 * at(errors_m, 0.5), 1e3 * at(errors_m, 0.95), 1e3 * at(errors_m, 1.0), kDegrees * at(errors_rad, 0.5),
      kDegrees * at(errors_rad, 0.95), kDegrees * at(errors_rad, 1.0), share(held[0], rows), share(held[1], rows),
      share(held[2], rows));
}

std::vector<Try> all_tries(const Options& options) {
  std::vector<std::pair<std::string, std::uint64_t>> jobs;
  for (int i = 0; i < options.homes; ++i) {
    for (const std::string& kind : options.kinds)
      jobs.emplace_back(kind, options.first + static_cast<std::uint64_t>(i));
  }
  std::vector<std::vector<Try>> results(jobs.size());
  std::atomic<std::size_t> next{0};
  std::mutex talk;
  const auto work = [&] {
    for (std::size_t i = next++; i < jobs.size(); i = next++) {
      results[i] = tries_in(jobs[i].first, jobs[i].second, options);
      const std::lock_guard<std::mutex> lock(talk);
      int k = 0;
      for (const Try& one : results[i]) {
        fmt::print(stderr, "{} {} try {}: {}, {} wrong rows; rows found {} ambiguous {} lost {}\n", one.kind, one.home,
                   k++, one.errors_m.empty() ? "not found" : fmt::format("found after {:.2f} m", one.found_after_m),
                   one.wrong_rows, one.found_rows, one.ambiguous_rows, one.lost_rows);
      }
    }
  };
  std::vector<std::thread> threads;
  for (int job = 0; job < options.jobs; ++job) threads.emplace_back(work);
  for (std::thread& thread : threads) thread.join();
  std::vector<Try> all;
  for (std::vector<Try>& some : results) {
    for (Try& one : some) all.push_back(std::move(one));
  }
  return all;
}

void write_rows(const std::vector<Try>& all, const std::string& file) {
  std::ofstream out(file);
  out << kRowsHeader;
  for (const Try& one : all) out << one.rows;
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
  app.add_flag("--talk", options.talk, "print answers as they change");
  CLI11_PARSE(app, argc, argv);
  if (options.kinds.empty()) options.kinds = kKinds;
  try {
    const std::vector<Try> all = all_tries(options);
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
