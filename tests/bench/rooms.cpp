// Names the rooms of random simulated houses, as `wainscot export --rooms` does, and compares areas and doors' widths
// with the plans: errors, and how many stated 95 % intervals hold the truth. Not a timed test.
//
//   build/tests/bench/rooms --first 1 --houses 10

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/export_rooms.hpp"
#include "apps/simulator/random_house.hpp"
#include "core/errors.hpp"
#include "core/median.hpp"
#include "core/trajectory_error.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/bench/house_score.hpp"
#include "tests/bench/true_rooms.hpp"

namespace wainscot::bench {
namespace {

struct Options {
  std::uint64_t first = 1;
  int houses = 10;
  std::size_t name_every = 1;  ///< 2: every second room has no name
  std::string csv;
};

/// A figure of the map held against the plan's.
struct Trial {
  std::uint64_t house = 0;
  std::string what;  ///< area, found (of what was found of a room), faces (a door's width), cells (the same)
  double truth = 0.0;
  double found = 0.0;
  double sd = 0.0;
  double unseen = 0.0;  ///< of a room: share of its border

  double error() const { return found - truth; }
  bool held() const { return std::abs(error()) <= 1.96 * sd; }
};

struct Score {
  std::vector<Trial> trials;
  int rooms = 0;
  int cut = 0;      ///< of these, smaller by more than a tenth
  int grown = 0;    ///< or larger
  int refused = 0;  ///< houses whose list was refused
  int doors = 0;
  int missed = 0;
  int invented = 0;  ///< between two rooms with names, where the plan has no door
};

simulator::Plan bench_plan(std::uint64_t house) {
  simulator::Plan plan = simulator::random_house(house);
  plan.defects = simulator::calibrated(plan.defects);
  plan.uncertainties_stated = true;
  return plan;
}

RoomList list_of(const TrueRooms& truth, const Pose2& map_from_truth, std::size_t every) {
  RoomList list;
  list.file = "rooms.csv";
  for (std::size_t i = 0; i < truth.rooms.size(); i += every) {
    const simulator::Point at = truth.rooms[i].widest;
    list.rooms.push_back(
        {fmt::format("room {}", i), false, {{map_from_truth * Eigen::Vector2d(at.x_m, at.y_m), 2 + i}}});
  }
  return list;
}

/// The part of a true room that lies in what was found of it, or within two cells: a room that ends at floor without a
/// name, or that was not all seen, is scored by its borders alone.
double area_near(const TrueRooms& truth, std::size_t room, const RoomPlan& plan, std::size_t found,
                 const GridFrame& frame, const Pose2& map_from_truth) {
  std::vector<bool> near(plan.labels.of_cell.size(), false);
  const auto columns = static_cast<std::int64_t>(frame.columns);
  for (std::size_t cell = 0; cell < near.size(); ++cell) {
    if (plan.labels.of_cell[cell] != static_cast<std::int32_t>(found)) continue;
    for (std::int64_t row = -2; row <= 2; ++row) {
      for (std::int64_t column = -2; column <= 2; ++column) {
        const auto other = static_cast<std::size_t>(static_cast<std::int64_t>(cell) + row * columns + column);
        if (other == cell || (other < near.size() && plan.labels.of_cell[other] < 0)) near[other] = true;
      }
    }
  }
  std::size_t count = 0;
  for (const simulator::Point at : truth.rooms[room].cells) {
    const auto cell = cell_at(frame, map_from_truth * Eigen::Vector2d(at.x_m, at.y_m));
    count += cell && near[*cell] ? 1U : 0U;
  }
  const double cells_m2 = static_cast<double>(truth.rooms[room].cells.size()) * truth.cell_m2;
  // Leaves, which are in the area alone.
  return static_cast<double>(count) * truth.cell_m2 + truth.rooms[room].area_m2 - cells_m2;
}

void score_doors(const TrueRooms& truth, const RoomPlan& plan, const Pose2& map_from_truth, std::uint64_t house,
                 std::size_t every, Score& score) {
  constexpr double kSameM = 0.4;
  std::vector<bool> used(plan.doors.size(), false);
  for (const TrueDoor& door : truth.doors) {
    if (door.room_1 % every != 0 && door.room_2 % every != 0) continue;
    ++score.doors;
    const Eigen::Vector2d middle = map_from_truth * Eigen::Vector2d(door.middle.x_m, door.middle.y_m);
    const auto found = std::find_if(plan.doors.begin(), plan.doors.end(),
                                    [&](const Doorway& other) { return (other.middle_m() - middle).norm() < kSameM; });
    if (found == plan.doors.end()) {
      ++score.missed;
      fmt::print(stderr, "  missed: door at {:.2f},{:.2f} of the map\n", middle.x(), middle.y());
      continue;
    }
    used[static_cast<std::size_t>(found - plan.doors.begin())] = true;
    score.trials.push_back(
        {house, found->by_faces ? "faces" : "cells", door.width_m, found->width_m, found->sd_m, 0.0});
  }
  for (std::size_t i = 0; i < used.size(); ++i) {
    const Doorway& door = plan.doors[i];
    if (used[i] || !plan.labels.is_named(door.room_2)) continue;
    ++score.invented;
    fmt::print(stderr, "  invented: {:.2f} m at {:.2f},{:.2f}\n", door.width_m, door.middle_m().x(),
               door.middle_m().y());
  }
}

void score_one(std::uint64_t house, const Options& options, Score& score) {
  const simulator::Plan plan = bench_plan(house);
  const simulator::SimulatedDrive simulated = simulator::simulate(plan, house);
  std::vector<Drive> drives{written_and_read(simulated, plan.robot)};
  MapperOptions mapper;
  mapper.threads = 2;
  Map map = build_map(drives.front(), mapper);
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  const Pose2 map_from_truth = inverse(absolute_trajectory_error(path, simulated.truth.trajectory).alignment);
  const TrueRooms truth = true_rooms(plan, simulated.truth.surfaces);
  const RoomList list = list_of(truth, map_from_truth, options.name_every);
  const SavedMap saved{std::move(map), std::move(drives), {}};
  const RoomExport found = export_rooms(saved, list);
  for (std::size_t i = 0; i < found.plan.floors.size(); ++i) {
    const RoomFloor& floor = found.plan.floors[i];
    const double true_m2 = truth.rooms[i * options.name_every].area_m2;
    const double near_m2 =
        area_near(truth, i * options.name_every, found.plan, i, saved.map.grid.frame, map_from_truth);
    ++score.rooms;
    score.cut += floor.area_m2 < 0.9 * true_m2 ? 1 : 0;
    score.grown += floor.area_m2 > 1.1 * true_m2 ? 1 : 0;
    score.trials.push_back({house, "area", true_m2, floor.area_m2, floor.sd_m2, floor.unseen_m / floor.border_m});
    score.trials.push_back({house, "found", near_m2, floor.area_m2, floor.sd_m2, floor.unseen_m / floor.border_m});
  }
  score_doors(truth, found.plan, map_from_truth, house, options.name_every, score);
}

void print_kind(const std::string& name, const std::string& unit, const std::vector<Trial>& trials, bool relative) {
  if (trials.empty()) {
    fmt::print("{}: none\n", name);
    return;
  }
  std::vector<double> errors;
  std::vector<double> signed_errors;
  std::vector<double> stated;
  int held = 0;
  for (const Trial& trial : trials) {
    const double by = relative ? trial.truth / 100.0 : 1.0;
    errors.push_back(std::abs(trial.error()) / by);
    signed_errors.push_back(trial.error() / by);
    stated.push_back(trial.sd / by);
    held += trial.held() ? 1 : 0;
  }
  std::sort(errors.begin(), errors.end());
  const auto count = static_cast<double>(errors.size());
  fmt::print(
      "{}: {}; error: median {:.4f} {}, 90 % {:.4f}, worst {:.4f}; signed median {:.4f}; stated standard "
      "uncertainty: median {:.4f}; stated 95 % intervals that hold the truth: {:.1f} %\n",
      name, errors.size(), median(errors), unit, errors[static_cast<std::size_t>(0.9 * (count - 1.0))], errors.back(),
      median(signed_errors), median(stated), 100.0 * held / count);
}

void print_score(const Options& options, const Score& score) {
  const auto of_kind = [&](const auto& is) {
    std::vector<Trial> kind;
    std::copy_if(score.trials.begin(), score.trials.end(), std::back_inserter(kind), is);
    return kind;
  };
  constexpr double kSeen = 0.05;  // as the command's words have it
  fmt::print("Simulated: {} houses, first {}, calibrated robots; {} refused\n", options.houses, options.first,
             score.refused);
  fmt::print("rooms: {}, {} smaller and {} larger by more than a tenth; doors: {}, {} missed; {} invented\n",
             score.rooms, score.cut, score.grown, score.doors, score.missed, score.invented);
  print_kind("area, of all the room", "%", of_kind([](const Trial& t) { return t.what == "area"; }), true);
  print_kind("area, of what was found of it", "%", of_kind([](const Trial& t) { return t.what == "found"; }), true);
  print_kind("the same, border seen", "%",
             of_kind([](const Trial& t) { return t.what == "found" && t.unseen <= kSeen; }), true);
  print_kind("width from faces", "m", of_kind([](const Trial& t) { return t.what == "faces"; }), false);
  print_kind("width from cells", "m", of_kind([](const Trial& t) { return t.what == "cells"; }), false);
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Names the rooms of random simulated houses and compares areas and doors with the plans.");
  app.add_option("--first", options.first, "number of the first house")->capture_default_str();
  app.add_option("--houses", options.houses, "how many")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--name-every", options.name_every, "name every n-th room, the others none")
      ->capture_default_str()
      ->check(CLI::PositiveNumber);
  app.add_option("--csv", options.csv, "also write one row a room and a door to this file");
  CLI11_PARSE(app, argc, argv);
  Score score;
  for (int i = 0; i < options.houses; ++i) {
    const std::uint64_t house = options.first + static_cast<std::uint64_t>(i);
    fmt::print(stderr, "house {}\n", house);
    try {
      score_one(house, options, score);
    } catch (const std::runtime_error& refused) {
      ++score.refused;
      fmt::print(stderr, "  {}\n", refused.what());
    }
  }
  print_score(options, score);
  std::ofstream csv;
  if (!options.csv.empty()) csv.open(options.csv);
  csv << "house,what,truth,found,sd,unseen\n";
  for (const Trial& t : score.trials) {
    csv << fmt::format("{},{},{:.4f},{:.4f},{:.4f},{:.3f}\n", t.house, t.what, t.truth, t.found, t.sd, t.unseen);
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
