// What tapes are worth to a map's scale: random simulated homes are built without tapes, then with those that the map
// itself asked for, and what it promised is held against what came of it. Not a timed test.
//
//   build/tests/bench/scale --houses 20 --csv scale.csv

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/like_recorded.hpp"
#include "apps/simulator/random.hpp"
#include "apps/simulator/random_house.hpp"
#include "apps/simulator/ray_caster.hpp"
#include "core/errors.hpp"
#include "core/median.hpp"
#include "core/trajectory_error.hpp"
#include "graph/measure/placed_returns.hpp"
#include "graph/measure/taped_map.hpp"
#include "tests/bench/house_score.hpp"

namespace wainscot::bench {
namespace {

struct Options {
  std::uint64_t first = 1;
  int houses = 20;
  double tape_sd_m = 0.003;  ///< of the simulated person, and as `build` is told
  double mistyped = 0.0;     ///< share of the homes in which the last of three tapes is 10 cm off
  std::string level = "calibrated";
  std::string csv;
};

/// A map with so many tapes, against the truth.
struct Trial {
  std::uint64_t house = 0;
  int tapes = 0;
  int used = 0;
  double scale_error = 0.0;  ///< relative: the map is too large by this
  double stated_sd = 0.0;
  std::optional<double> promised_sd;  ///< by the map without tapes
  std::vector<double> errors_m;       ///< of distances across rooms
  int within = 0;                     ///< of these: 5 mm or 0.2 %
  int held = 0;                       ///< of these: 95 % intervals that hold the truth
};

simulator::Plan plan_of(std::uint64_t house, const Options& options) {
  simulator::Plan plan = simulator::random_house(house);
  if (options.level != "raw") {
    plan.defects = simulator::calibrated(plan.defects);
    plan.uncertainties_stated = true;
  }
  if (options.level == "misstated") simulator::misstate_noise(plan.defects, house);
  return plan;
}

TrajectoryError path_error(const Map& map, const simulator::Truth& truth, Alignment alignment) {
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  return absolute_trajectory_error(path, truth.trajectory, alignment);
}

/// What a tape that a person lays between these points of the house touches, square across; nullopt: the faces there
/// are not those that the map took them for, as a person would see.
std::optional<double> true_length_m(const simulator::RayCaster& caster, const Eigen::Vector2d& from,
                                    const Eigen::Vector2d& to) {
  constexpr double kSquareRad = 0.02;
  constexpr double kSameM = 0.1;
  const Eigen::Vector2d middle = 0.5 * (from + to);
  const Eigen::Vector2d way = (to - from).normalized();
  double length_m = 0.0;
  for (const double side : {1.0, -1.0}) {
    const Eigen::Vector2d along = side * way;
    const simulator::Hit hit = caster.cast({middle.x(), middle.y()}, {along.x(), along.y()}, 20.0, false);
    if (!(hit.incidence_rad < kSquareRad)) return std::nullopt;
    length_m += hit.range_m * std::cos(hit.incidence_rad);
  }
  if (std::abs(length_m - (to - from).norm()) > kSameM) return std::nullopt;
  return length_m;
}

/// As a person reads them: to a millimetre, the points a few centimetres off.
std::vector<LaidTape> laid(const ScaleRemedy& remedy, const Pose2& truth_from_map, const simulator::Truth& truth,
                           std::uint64_t house, const Options& options) {
  constexpr double kOffM = 0.05;
  const simulator::RayCaster caster(truth.surfaces);
  simulator::Random random(house, "laid tapes");
  const bool mistypes = random.chance(options.mistyped);
  std::vector<LaidTape> tapes;
  for (const auto& [from_m, to_m] : remedy.between_m) {
    const auto length_m = true_length_m(caster, truth_from_map * from_m, truth_from_map * to_m);
    if (!length_m) continue;
    const Eigen::Vector2d way = (to_m - from_m).normalized();
    const double read_m = std::round(1e3 * (*length_m + options.tape_sd_m * random.normal())) / 1e3;
    tapes.push_back({fmt::format("tape {}", tapes.size() + 1),
                     {from_m + random.uniform(0.0, kOffM) * way, to_m - random.uniform(0.0, kOffM) * way},
                     read_m,
                     options.tape_sd_m});
  }
  if (mistypes && tapes.size() == 3) tapes.back().tape_m += 0.1;
  return tapes;
}

Trial scored(const Map& map, const Drive& drive, const simulator::Truth& truth, std::uint64_t house, int tapes) {
  constexpr std::size_t kMostDistances = 10;
  Trial trial;
  trial.house = house;
  trial.tapes = tapes;
  for (const MappedTape& tape : map.tapes) trial.used += tape.left_out.empty() ? 1 : 0;
  trial.scale_error = 1.0 / path_error(map, truth, Alignment::with_scale).scale - 1.0;
  trial.stated_sd = map.quality.scale_sd;
  const MeasurableMap measurable(map, placed_returns(map, drive));
  const Pose2 map_from_truth = inverse(path_error(map, truth, Alignment::rigid).alignment);
  const std::vector<FacingWalls> all = facing_walls(truth.surfaces);
  const std::size_t count = std::min(all.size(), kMostDistances);
  for (std::size_t i = 0; i < count; ++i) {
    const FacingWalls& walls = all[i * all.size() / count];
    const TapeAnswer answer = measure_tape(measurable, {map_from_truth * walls.from, map_from_truth * walls.to});
    if (!answer.measure || answer.measure->kind != TapeKind::across) continue;
    const double true_m = (walls.to - walls.from).norm();
    const double error_m = answer.measure->distance_m - true_m;
    trial.errors_m.push_back(std::abs(error_m));
    trial.within += std::abs(error_m) <= std::max(0.005, 0.002 * true_m) ? 1 : 0;
    trial.held += std::abs(error_m) <= 1.96 * answer.measure->sd_m ? 1 : 0;
  }
  return trial;
}

std::vector<Trial> score_house_with_tapes(std::uint64_t house, const Options& options) {
  const simulator::Plan plan = plan_of(house, options);
  const simulator::SimulatedDrive simulated = simulator::simulate(plan, house);
  const Drive drive = written_and_read(simulated, plan.robot);
  MapperOptions mapper;
  mapper.threads = 1;
  ScaleRemedyOptions remedies;
  remedies.tape_sd_m = options.tape_sd_m;
  remedies.worthwhile = 1.0;
  const Map without = taped_map(drive, mapper, {}, remedies);
  const Pose2 truth_from_map = path_error(without, simulated.truth, Alignment::rigid).alignment;
  std::vector<Trial> trials{scored(without, drive, simulated.truth, house, 0)};
  for (const ScaleRemedy& remedy : without.scale_remedies) {
    if (remedy.kind != ScaleRemedy::Kind::tapes) continue;
    const std::vector<LaidTape> tapes = laid(remedy, truth_from_map, simulated.truth, house, options);
    if (static_cast<int>(tapes.size()) != remedy.count) continue;
    const Map map = taped_map(drive, mapper, tapes, remedies);
    trials.push_back(scored(map, drive, simulated.truth, house, remedy.count));
    trials.back().promised_sd = remedy.scale_sd;
  }
  return trials;
}

double root_mean_square(const std::vector<double>& values) {
  double squares = 0.0;
  for (const double value : values) squares += value * value;
  return std::sqrt(squares / static_cast<double>(values.size()));
}

void print_row(const std::vector<Trial>& all, int tapes) {
  std::vector<double> errors;
  std::vector<double> stated;
  std::vector<double> normalised;
  std::vector<double> ratios;  // promised / stated
  std::vector<double> by_promise;
  std::vector<double> distances;
  int held = 0;
  int held_promise = 0;
  int within = 0;
  int distances_held = 0;
  int left_out = 0;
  for (const Trial& t : all) {
    if (t.tapes != tapes) continue;
    errors.push_back(std::abs(t.scale_error));
    stated.push_back(t.stated_sd);
    normalised.push_back(t.scale_error / t.stated_sd);
    held += std::abs(t.scale_error) <= 1.96 * t.stated_sd ? 1 : 0;
    left_out += t.tapes - t.used;
    within += t.within;
    distances_held += t.held;
    distances.insert(distances.end(), t.errors_m.begin(), t.errors_m.end());
    if (!t.promised_sd) continue;
    ratios.push_back(*t.promised_sd / t.stated_sd);
    by_promise.push_back(t.scale_error / *t.promised_sd);
    held_promise += std::abs(t.scale_error) <= 1.96 * *t.promised_sd ? 1 : 0;
  }
  if (errors.empty()) return;
  const auto homes = static_cast<double>(errors.size());
  const auto lengths = static_cast<double>(distances.size());
  std::sort(errors.begin(), errors.end());
  std::sort(distances.begin(), distances.end());
  fmt::print(
      "{} tapes, {} homes: scale off by {:.3f} % (median), {:.3f} % (95 %), {:.3f} % (root mean square); stated "
      "{:.3f} % (median)\n",
      tapes, errors.size(), 100.0 * median(errors), 100.0 * errors[static_cast<std::size_t>(0.95 * (homes - 1.0))],
      100.0 * root_mean_square(errors), 100.0 * median(stated));
  fmt::print("  stated 95 % intervals that hold the scale: {:.1f} %; (error / stated)^2: {:.2f} (mean)\n",
             100.0 * held / homes, std::pow(root_mean_square(normalised), 2));
  if (!ratios.empty()) {
    fmt::print(
        "  promised / stated: {:.3f} (median); promised 95 % intervals that hold: {:.1f} %; (error / "
        "promised)^2: {:.2f}; tapes left out: {}\n",
        median(ratios), 100.0 * held_promise / static_cast<double>(ratios.size()),
        std::pow(root_mean_square(by_promise), 2), left_out);
  }
  fmt::print(
      "  {} distances across rooms: off by {:.2f} mm (median), {:.2f} mm (95 %); within 5 mm or 0.2 %: {:.1f} "
      "%; intervals that hold: {:.1f} %\n",
      distances.size(), 1e3 * median(distances), 1e3 * distances[static_cast<std::size_t>(0.95 * (lengths - 1))],
      100.0 * within / lengths, 100.0 * distances_held / lengths);
}

void write_csv(const std::vector<Trial>& trials, const std::string& file) {
  std::ofstream out(file);
  out << "house,tapes,used,scale_error,stated_sd,promised_sd,distances,within,held\n";
  for (const Trial& t : trials) {
    out << fmt::format("{},{},{},{:.7f},{:.7f},{},{},{},{}\n", t.house, t.tapes, t.used, t.scale_error, t.stated_sd,
                       t.promised_sd ? fmt::format("{:.7f}", *t.promised_sd) : "", t.errors_m.size(), t.within, t.held);
  }
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Builds simulated homes with no, one and three tapes and scores their scale.");
  app.add_option("--first", options.first, "number of the first house")->capture_default_str();
  app.add_option("--houses", options.houses, "how many")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--tape-sd", options.tape_sd_m, "error of a tape, metres")->capture_default_str();
  app.add_option("--mistyped", options.mistyped, "share of the homes in which the last of three tapes is 10 cm off")
      ->capture_default_str();
  app.add_option("--level", options.level, "the robots' constants")
      ->capture_default_str()
      ->check(CLI::IsMember({"raw", "calibrated", "misstated"}));
  app.add_option("--csv", options.csv, "also write one row a map to this file");
  CLI11_PARSE(app, argc, argv);
  std::vector<Trial> trials;
  for (int i = 0; i < options.houses; ++i) {
    const std::uint64_t house = options.first + static_cast<std::uint64_t>(i);
    try {
      const std::vector<Trial> of_house = score_house_with_tapes(house, options);
      trials.insert(trials.end(), of_house.begin(), of_house.end());
      fmt::print(stderr, "house {}: {} maps\n", house, of_house.size());
    } catch (const PoorData& poor) {
      fmt::print(stderr, "house {}: {}\n", house, poor.what());
    }
    if (!options.csv.empty()) write_csv(trials, options.csv);
  }
  fmt::print("Simulated: {} houses, first {}, {} robots, tapes right to {:.1f} mm\n", options.houses, options.first,
             options.level, 1e3 * options.tape_sd_m);
  for (const int tapes : {0, 1, 3}) print_row(trials, tapes);
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
