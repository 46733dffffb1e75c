// Lays tapes into the maps of random simulated houses, as `wainscot measure` does, and compares them with the plans'
// faces: how many lie within 5 mm or 0.2 %, and how many stated 95 % intervals hold the truth. Not a timed test.
//
//   build/tests/bench/tapes --houses 20 --tapes 10 --csv tapes.csv

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <functional>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/random.hpp"
#include "apps/simulator/random_house.hpp"
#include "apps/simulator/ray_caster.hpp"
#include "core/errors.hpp"
#include "core/median.hpp"
#include "core/trajectory_error.hpp"
#include "graph/mapping/mapper.hpp"
#include "graph/measure/placed_returns.hpp"
#include "graph/measure/tape.hpp"
#include "tests/bench/house_score.hpp"

namespace wainscot::bench {
namespace {

struct Options {
  std::uint64_t first = 1;
  int houses = 20;
  int tapes = 10;  ///< of each kind in a house
  int jobs = 2;
  std::string csv;
};

/// A tape held against the true faces, and what the map says.
struct Trial {
  std::uint64_t house = 0;
  bool through_wall = false;  ///< a wall's thickness, else the way across a room
  double true_m = 0.0;
  double scale = 1.0;  ///< that brings the map's path to the true one
  TapeAnswer answer;

  /// Points that found other things than the two faces are told as not square, and are no tape across.
  bool is_across() const { return answer.measure && answer.measure->kind == TapeKind::across; }
  double error_m() const { return answer.measure->distance_m - true_m; }
  double error_with_scale_m() const { return scale * answer.measure->distance_m - true_m; }
  bool is_good(double error) const { return std::abs(error) <= std::max(0.005, 0.002 * true_m); }
  bool held() const { return std::abs(error_m()) <= 1.96 * answer.measure->sd_m; }
};

simulator::Plan plan_of(std::uint64_t house) {
  simulator::Plan plan = simulator::random_house(house);
  plan.defects = simulator::calibrated(plan.defects);
  plan.uncertainties_stated = true;
  return plan;
}

/// The two faces of a wall opposite each other, as `facing_walls` of the air.
std::vector<FacingWalls> wall_thicknesses(const simulator::Surfaces& surfaces) {
  constexpr double kThickestM = 0.4;
  std::vector<FacingWalls> result;
  for (const FacingWalls& air : facing_walls(surfaces)) {
    for (const simulator::Surface& other : surfaces.flat) {
      const Eigen::Vector2d from(other.from.x_m, other.from.y_m);
      const Eigen::Vector2d to(other.to.x_m, other.to.y_m);
      const Eigen::Vector2d along = (to - from).normalized();
      const Eigen::Vector2d normal(-along.y(), along.x());
      const double at = along.dot(air.from - from);
      const double behind = normal.dot(from - air.from);
      const bool opposite = normal.dot(air.normal) < -0.99999 && other.kind == simulator::SurfaceKind::wall;
      if (opposite && behind > 0.02 && behind < kThickestM && at > 0.25 && at < (to - from).norm() - 0.25) {
        result.push_back({air.from, air.from + behind * normal, air.normal});
      }
    }
  }
  return result;
}

/// As many as wanted, spread over the list; the points are off the faces by up to 5 cm, as a person's are.
void add_trials(const std::vector<FacingWalls>& all, bool through_wall, const Options& options,
                const MeasurableMap& map, const TrajectoryError& path, std::uint64_t house,
                std::vector<Trial>& trials) {
  constexpr double kOffM = 0.05;
  const Pose2 map_from_truth = inverse(path.alignment);
  simulator::Random random(house, through_wall ? "through walls" : "tapes");
  const std::size_t wanted = std::min(all.size(), static_cast<std::size_t>(options.tapes));
  for (std::size_t i = 0; i < wanted; ++i) {
    const FacingWalls& walls = all[i * all.size() / wanted];
    const auto near = [&](const Eigen::Vector2d& face, const Eigen::Vector2d& normal) {
      // Nearer to its own face than to the other side of the wall.
      return map_from_truth * Eigen::Vector2d(face + random.uniform(through_wall ? 0.0 : -kOffM, kOffM) * normal);
    };
    const Tape tape{near(walls.from, walls.normal), near(walls.to, -walls.normal)};
    trials.push_back({house, through_wall, (walls.to - walls.from).norm(), path.scale, measure_tape(map, tape)});
  }
}

std::vector<Trial> measure_house(std::uint64_t house, const Options& options) {
  const simulator::Plan plan = plan_of(house);
  const simulator::SimulatedDrive simulated = simulator::simulate(plan, house);
  const std::vector<Drive> drives{written_and_read(simulated, plan.robot)};
  MapperOptions mapper;
  mapper.threads = 1;
  const Map map = build_map(drives.front(), mapper);
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  TrajectoryError error = absolute_trajectory_error(path, simulated.truth.trajectory);
  error.scale = absolute_trajectory_error(path, simulated.truth.trajectory, Alignment::with_scale).scale;
  const MeasurableMap measurable(map, placed_returns(map, drives));
  std::vector<Trial> trials;
  const simulator::Surfaces& surfaces = simulated.truth.surfaces;
  add_trials(facing_walls(surfaces), false, options, measurable, error, house, trials);
  add_trials(wall_thicknesses(surfaces), true, options, measurable, error, house, trials);
  return trials;
}

std::vector<Trial> measure_all(const Options& options) {
  std::vector<std::vector<Trial>> by_house(static_cast<std::size_t>(options.houses));
  std::atomic<std::size_t> next{0};
  std::mutex talk;
  const auto work = [&] {
    for (std::size_t i = next++; i < by_house.size(); i = next++) {
      const std::uint64_t house = options.first + i;
      std::string said = "measured";
      try {
        by_house[i] = measure_house(house, options);
      } catch (const PoorData& poor) {
        said = poor.what();
      }
      const std::lock_guard<std::mutex> lock(talk);
      fmt::print(stderr, "house {}: {}\n", house, said);
    }
  };
  std::vector<std::thread> threads;
  for (int job = 0; job < options.jobs; ++job) threads.emplace_back(work);
  for (std::thread& thread : threads) thread.join();
  std::vector<Trial> all;
  for (const std::vector<Trial>& trials : by_house) all.insert(all.end(), trials.begin(), trials.end());
  return all;
}

void print_kind(const std::string& name, const std::vector<Trial>& all, bool through_wall) {
  std::vector<double> errors;
  std::vector<double> stated;
  std::vector<double> scaled;
  int not_square = 0;
  int within = 0;
  int within_scaled = 0;
  int held = 0;
  std::size_t tapes = 0;
  for (const Trial& trial : all) {
    if (trial.through_wall != through_wall) continue;
    ++tapes;
    not_square += trial.answer.measure && !trial.is_across() ? 1 : 0;
    if (!trial.is_across()) continue;
    errors.push_back(std::abs(trial.error_m()));
    scaled.push_back(std::abs(trial.error_with_scale_m()));
    stated.push_back(trial.answer.measure->sd_m);
    within += trial.is_good(trial.error_m()) ? 1 : 0;
    within_scaled += trial.is_good(trial.error_with_scale_m()) ? 1 : 0;
    held += trial.held() ? 1 : 0;
  }
  if (errors.empty()) {
    fmt::print("{}: none of {} measured\n", name, tapes);
    return;
  }
  const auto count = static_cast<double>(errors.size());
  std::sort(errors.begin(), errors.end());
  fmt::print("{}: {} of {} measured, {} more said not to be square\n", name, errors.size(), tapes, not_square);
  fmt::print(
      "  error: median {:.2f} mm, 95 % {:.2f} mm, worst {:.1f} mm; stated standard uncertainty: median {:.2f} mm\n",
      1e3 * median(errors), 1e3 * errors[static_cast<std::size_t>(0.95 * (count - 1.0))], 1e3 * errors.back(),
      1e3 * median(stated));
  fmt::print("  within 5 mm or 0.2 %: {:.1f} %; with the map's scale put right: {:.1f} % (median {:.2f} mm)\n",
             100.0 * within / count, 100.0 * within_scaled / count, 1e3 * median(scaled));
  fmt::print("  stated 95 % intervals that hold the truth: {:.1f} %\n", 100.0 * held / count);
}

void write_csv(const std::vector<Trial>& trials, const std::string& file) {
  std::ofstream out(file);
  out << "house,through_wall,true_m,distance_m,own_sd_m,standard_uncertainty_m,nodes,kind,x1_m,y1_m,x2_m,y2_m\n";
  for (const Trial& t : trials) {
    if (!t.answer.measure) continue;
    const TapeMeasure& m = *t.answer.measure;
    out << fmt::format("{},{},{:.5f},{:.5f},{:.5f},{:.5f},{},{},{:.3f},{:.3f},{:.3f},{:.3f}\n", t.house,
                       t.through_wall ? 1 : 0, t.true_m, m.distance_m, m.own_sd_m, m.sd_m, m.nodes,
                       static_cast<int>(m.kind), m.from_m.x(), m.from_m.y(), m.to_m.x(), m.to_m.y());
  }
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Lays tapes into the maps of random simulated houses and compares them with the plans.");
  app.add_option("--first", options.first, "number of the first house")->capture_default_str();
  app.add_option("--houses", options.houses, "how many")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--tapes", options.tapes, "of each kind in a house")
      ->capture_default_str()
      ->check(CLI::PositiveNumber);
  app.add_option("--jobs", options.jobs, "houses at a time")->capture_default_str()->check(CLI::Range(1, 256));
  app.add_option("--csv", options.csv, "also write one row a tape to this file");
  CLI11_PARSE(app, argc, argv);
  const std::vector<Trial> trials = measure_all(options);
  fmt::print("Simulated: {} houses, first {}, calibrated robots\n", options.houses, options.first);
  print_kind("across rooms", trials, false);
  print_kind("through walls", trials, true);
  if (!options.csv.empty()) write_csv(trials, options.csv);
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
