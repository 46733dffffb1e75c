// Lays maps of random simulated houses on one another: that of a second day on the first day's, which must be found
// where it is, and those of other houses, which must not be taken. All figures are simulated. Not a timed test.
//
//   build/tests/bench/shared_house --houses 40 --others 20

#include "graph/extend/shared_house.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <ctime>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/another_day.hpp"
#include "apps/simulator/random_house.hpp"
#include "graph/known/map_views.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/bench/house_score.hpp"

namespace wainscot::bench {
namespace {

struct MappedDay {
  std::vector<MapView> views;
  KnownMap known;
  Pose2 truth_from_map;
  RangeNoise noise;
};

MappedDay mapped(const simulator::Plan& plan, std::uint64_t seed) {
  const simulator::SimulatedDrive simulated = simulator::simulate(plan, seed);
  const Drive drive = written_and_read(simulated, plan.robot);
  MapperOptions options;
  options.threads = 1;
  const Map map = build_map(drive, options);
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  std::vector<MapView> views = map_views(map, drive);
  KnownMap known = known_map(map, drive, views);
  return {std::move(views),
          std::move(known),
          absolute_trajectory_error(path, simulated.truth.trajectory).alignment,
          {drive.robot.lidar.noise_m, drive.robot.lidar.noise_per_m}};
}

struct Sums {
  int pairs = 0;
  int taken = 0;
  int wrong = 0;                    ///< taken, but in a wrong way
  std::vector<double> strangeness;  ///< way that contradicts / way that agrees, of those taken or of other houses
  double cpu_s = 0.0;
};

double strangeness(const std::vector<LaidOn>& ways) {
  return ways.empty() ? 1e3 : ways.front().strange_way_m / std::max(0.1, ways.front().known_way_m);
}

std::vector<LaidOn> laid(const MappedDay& first, const MappedDay& second, Sums& sums) {
  const double begin_s = static_cast<double>(std::clock());
  std::vector<LaidOn> ways = ways_to_lay_on(first.known, second.views, second.noise);
  sums.cpu_s = std::max(sums.cpu_s, (static_cast<double>(std::clock()) - begin_s) / CLOCKS_PER_SEC);
  ++sums.pairs;
  return ways;
}

void try_same(std::uint64_t house, const MappedDay& first, const MappedDay& second, Sums& sums) {
  constexpr double kRightM = 0.1;
  constexpr double kRightRad = 0.05;
  const std::vector<LaidOn> ways = laid(first, second, sums);
  const std::optional<std::string> doubt = doubt_of(ways);
  if (doubt) {
    fmt::print("{:>5}  not taken: {}\n", house, *doubt);
    return;
  }
  ++sums.taken;
  const Pose2 error = between(inverse(first.truth_from_map) * second.truth_from_map, ways.front().first_second);
  const bool right = error.translation().norm() < kRightM && std::abs(wrap_angle(error.heading_rad)) < kRightRad;
  sums.wrong += right ? 0 : 1;
  sums.strangeness.push_back(strangeness(ways));
}

void try_other(std::uint64_t house, std::uint64_t other, const MappedDay& first, const MappedDay& second, Sums& sums) {
  const std::vector<LaidOn> ways = laid(first, second, sums);
  if (!doubt_of(ways)) {
    ++sums.taken;
    fmt::print("{:>5}  took a drive of house {}\n", house, other);
  }
  sums.strangeness.push_back(strangeness(ways));
}

int run(int argc, char** argv) {
  std::uint64_t first_house = 1;
  std::size_t houses = 40;
  std::size_t others = 20;
  CLI::App app("Lays maps of random simulated houses on one another: of two days, and of other houses.");
  app.add_option("--first", first_house, "number of the first house")->capture_default_str();
  app.add_option("--houses", houses, "how many")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--others", others, "how many of the other houses are tried on each")->capture_default_str();
  CLI11_PARSE(app, argc, argv);
  std::vector<MappedDay> first;
  std::vector<MappedDay> second;
  for (std::size_t i = 0; i < houses; ++i) {
    simulator::Plan plan = simulator::random_house(first_house + i);
    plan.defects = simulator::calibrated(plan.defects);
    plan.uncertainties_stated = true;
    first.push_back(mapped(plan, first_house + i));
    second.push_back(mapped(simulator::another_day(plan, first_house + i, 2), first_house + i));
  }
  Sums same;
  Sums other;
  for (std::size_t i = 0; i < houses; ++i) {
    try_same(first_house + i, first[i], second[i], same);
    for (std::size_t k = 1; k <= std::min(others, houses - 1); ++k) {
      const std::size_t j = (i + k) % houses;
      try_other(first_house + i, first_house + j, first[i], second[j], other);
    }
  }
  fmt::print("Simulated: of {} second days {} were taken, {} of them in a wrong way\n", same.pairs, same.taken,
             same.wrong);
  if (same.taken > 0) {
    fmt::print("  what contradicts them is at most {:.2f} times the way along which they agree\n",
               *std::max_element(same.strangeness.begin(), same.strangeness.end()));
  }
  fmt::print("of {} drives of other houses {} were taken\n", other.pairs, other.taken);
  if (other.pairs > 0) {
    fmt::print("  what contradicts them is at least {:.2f} times the way along which they agree\n",
               *std::min_element(other.strangeness.begin(), other.strangeness.end()));
  }
  fmt::print("CPU time at most {:.2f} s\n", std::max(same.cpu_s, other.cpu_s));
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
