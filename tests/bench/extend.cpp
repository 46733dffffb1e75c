// Extends maps of random simulated houses by a second drive of another day (other start, other way, some furniture
// moved) and prints how far both drives lie from the truth in one frame, what became of the grid, which changes were
// found, and whether drives of other houses were refused. All figures are simulated. Not a timed test.
//
//   build/tests/bench/extend --houses 20

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <ctime>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/another_day.hpp"
#include "apps/simulator/furnish.hpp"
#include "apps/simulator/gallery.hpp"
#include "apps/simulator/random_house.hpp"
#include "core/angles.hpp"
#include "core/errors.hpp"
#include "graph/extend/extended_map.hpp"
#include "io/map/map_folder.hpp"
#include "io/map/map_reader.hpp"
#include "tests/bench/house_score.hpp"
#include "tests/bench/temporary_folder.hpp"

namespace wainscot::bench {
namespace {

struct Options {
  std::uint64_t first = 1;
  int houses = 20;
  bool foreign = true;
  std::string hard_place;  ///< empty: random houses
};

/// One drive of a house, and what really was.
struct Day {
  simulator::Plan plan;
  simulator::Truth truth;
  Drive drive;
};

struct Errors {
  double position_m = 0.0;  ///< RMSE
  double heading_rad = 0.0;
};

struct ExtendScore {
  std::uint64_t house = 0;
  std::string failure;  ///< why the map was not extended; empty: it was
  Errors first_before, first_after;
  Errors second_in_frame;    ///< under the alignment of the first drive
  Errors second_alone;       ///< under its own
  int right = 0, wrong = 0;  ///< closures between the drives
  GridScore grid_before, grid_after;
  int moved = 0, moved_found = 0;  ///< pieces of furniture
  int changes = 0, changes_false = 0;
  double cpu_s = 0.0;     ///< of extending
  double origin_m = 0.0;  ///< by which node 0 was moved
  bool foreign_refused = true;
  std::string foreign_words;
};

double cpu_now_s() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

Day driven(simulator::Plan plan, std::uint64_t seed) {
  simulator::SimulatedDrive simulated = simulator::simulate(plan, seed);
  Drive drive = written_and_read(simulated, plan.robot);
  return {std::move(plan), std::move(simulated.truth), std::move(drive)};
}

simulator::Plan calibrated_house(std::uint64_t house, const std::string& hard_place) {
  simulator::Plan plan = hard_place.empty() ? simulator::random_house(house) : simulator::hard_place(hard_place, house);
  plan.defects = simulator::calibrated(plan.defects);
  plan.uncertainties_stated = true;
  return plan;
}

/// Rows of one drive.
std::vector<TimedPose> path_of(const Map& map, int drive) {
  std::vector<TimedPose> result;
  for (const TrajectoryRow& row : map.trajectory) {
    if (row.drive == drive) result.push_back({row.time_s, row.pose});
  }
  return result;
}

Errors errors_of(const std::vector<TimedPose>& path, const std::vector<TimedPose>& truth, const Pose2& truth_from_map) {
  Errors errors;
  for (const TimedPose& row : path) {
    const Pose2 error = between(true_pose(truth, row.time_s), truth_from_map * row.pose);
    errors.position_m += error.translation().squaredNorm();
    errors.heading_rad += wrap_angle(error.heading_rad) * wrap_angle(error.heading_rad);
  }
  const double count = std::max<double>(1.0, static_cast<double>(path.size()));
  return {std::sqrt(errors.position_m / count), std::sqrt(errors.heading_rad / count)};
}

void score_cross_closures(const Map& map, const std::array<const Day*, 2>& days, ExtendScore& score) {
  const auto truth_of = [&](const Node& node) {
    return true_pose(days.at(static_cast<std::size_t>(node.drive) - 1)->truth.trajectory, node.time_s);
  };
  for (const LoopCandidate& candidate : map.candidates) {
    const Node& from = map.graph.nodes[candidate.from];
    const Node& to = map.graph.nodes[candidate.to];
    if (candidate.verdict != Verdict::accepted || from.drive == to.drive) continue;
    const Pose2 error = between(between(truth_of(from), truth_of(to)), candidate.found);
    const bool right =
        error.translation().norm() <= kWrongClosure_m && std::abs(wrap_angle(error.heading_rad)) <= kWrongClosure_rad;
    ++(right ? score.right : score.wrong);
  }
}

/// The walls that the first day saw, and the things of both days: where the second day did not look, those of the first
/// are rightly there.
GridScore grid_score(const Map& map, const Day& first, const Day& second, const Pose2& truth_from_map) {
  simulator::Truth truth = first.truth;
  const simulator::Surfaces& later = second.truth.surfaces;
  truth.surfaces.flat.insert(truth.surfaces.flat.end(), later.flat.begin(), later.flat.end());
  truth.surfaces.round.insert(truth.surfaces.round.end(), later.round.begin(), later.round.end());
  return score_grid(map, first.drive, truth, truth_from_map);
}

/// Whether the place lies on or beside a piece of furniture.
bool is_beside(const simulator::Furniture& item, const Eigen::Vector2d& place) {
  constexpr double kBeside_m = 0.25;
  const simulator::Polygon outline = simulator::footprint(item);
  const simulator::Point point{place.x(), place.y()};
  if (simulator::contains(outline, point)) return true;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    if (simulator::distance_m(point, outline[i], outline[(i + 1) % outline.size()]) < kBeside_m) return true;
  }
  return false;
}

void score_changes(const Map& map, const Day& first, const Day& second, const Pose2& truth_from_map,
                   ExtendScore& score) {
  std::vector<std::pair<const simulator::Furniture*, const simulator::Furniture*>> moved;  // before, now
  for (std::size_t i = 0; i < first.plan.furniture.size(); ++i) {
    const simulator::Furniture& before = first.plan.furniture[i];
    const simulator::Furniture& now = second.plan.furniture[i];
    if (simulator::norm(now.centre - before.centre) > 0.01) moved.emplace_back(&before, &now);
  }
  std::vector<bool> found(moved.size(), false);
  for (const Change& change : map.changes) {
    if (change.since_drive == 0) continue;
    const Eigen::Vector2d middle = truth_from_map * Eigen::Vector2d(0.5 * (change.from_m + change.to_m));
    bool right = false;
    for (std::size_t i = 0; i < moved.size(); ++i) {
      if (!is_beside(change.appeared ? *moved[i].second : *moved[i].first, middle)) continue;
      found[i] = right = true;
    }
    ++score.changes;
    score.changes_false += right ? 0 : 1;
  }
  score.moved = static_cast<int>(moved.size());
  score.moved_found = static_cast<int>(std::count(found.begin(), found.end(), true));
}

/// A drive of another house by the same robot must not join.
void try_foreign(const SavedMap& saved, const Day& first, std::uint64_t house, ExtendScore& score) {
  simulator::Plan plan = calibrated_house(house + 1000, "");
  plan.robot = first.plan.robot;
  plan.defects = first.plan.defects;
  std::vector<Drive> drives = saved.drives;
  drives.push_back(driven(std::move(plan), house).drive);
  drives.back().robot = first.drive.robot;
  MapperOptions options;
  options.threads = 1;
  try {
    const Map map = extend_map(saved.map, drives, saved.drives.size(), options);
    score.foreign_refused = false;
  } catch (const PoorData& refused) {
    score.foreign_words = refused.what();
  }
}

void score_extended(const Map& before, const Map& after, const Day& first, const Day& second, ExtendScore& score) {
  const std::vector<TimedPose>& truth = first.truth.trajectory;
  const Pose2 old_frame = absolute_trajectory_error(path_of(before, 1), truth).alignment;
  const Pose2 frame = absolute_trajectory_error(path_of(after, 1), truth).alignment;
  score.first_before = errors_of(path_of(before, 1), truth, old_frame);
  score.first_after = errors_of(path_of(after, 1), truth, frame);
  const std::vector<TimedPose> path = path_of(after, 2);
  score.second_in_frame = errors_of(path, second.truth.trajectory, frame);
  score.second_alone =
      errors_of(path, second.truth.trajectory, absolute_trajectory_error(path, second.truth.trajectory).alignment);
  score_cross_closures(after, {&first, &second}, score);
  score.grid_before = grid_score(before, first, second, old_frame);
  score.grid_after = grid_score(after, first, second, frame);
  score_changes(after, first, second, frame, score);
  score.origin_m = between(before.graph.nodes.front().pose, after.graph.nodes.front().pose).translation().norm();
}

ExtendScore score_house_twice(std::uint64_t house, const Options& asked) {
  ExtendScore score;
  score.house = house;
  const simulator::Plan plan = calibrated_house(house, asked.hard_place);
  const Day first = driven(plan, house);
  const Day second = driven(simulator::another_day(plan, house, 2), house);
  MapperOptions options;
  options.threads = 1;
  const TemporaryFolder folder;
  // Through the files, as the command does it.
  write_map(build_map(first.drive, options), first.drive, {"bench", true, true}, folder.path() / "map", false);
  const SavedMap saved = read_map(folder.path() / "map");
  std::vector<Drive> drives = saved.drives;
  drives.push_back(second.drive);
  const double begin_s = cpu_now_s();
  try {
    const Map map = extend_map(saved.map, drives, saved.drives.size(), options);
    score.cpu_s = cpu_now_s() - begin_s;
    score_extended(saved.map, map, first, second, score);
  } catch (const PoorData& refused) {
    score.failure = refused.what();
  } catch (const InputError& wrong) {
    score.failure = wrong.what();
  }
  if (asked.foreign) try_foreign(saved, first, house, score);
  return score;
}

std::string line_of(const ExtendScore& s) {
  if (!s.failure.empty()) return fmt::format("{:>5}  not extended: {}", s.house, s.failure);
  const auto errors = [](const Errors& e) {
    return fmt::format("{:>7.1f}{:>7.3f}", 1e3 * e.position_m, kDegreesPerRadian * e.heading_rad);
  };
  return fmt::format("{:>5}{}{}{}{}{:>7}{:>6}{:>8.2f}{:>7.2f}{:>7.2f}{:>7.2f}{:>6}/{}{:>6}{:>6}{:>7.1f}{}", s.house,
                     errors(s.first_before), errors(s.first_after), errors(s.second_in_frame), errors(s.second_alone),
                     s.right, s.wrong, 100.0 * (1.0 - s.grid_before.recall), 100.0 * (1.0 - s.grid_after.recall),
                     100.0 * s.grid_before.stray, 100.0 * s.grid_after.stray, s.moved_found, s.moved, s.changes,
                     s.changes_false, s.cpu_s, s.foreign_refused ? "" : "  FOREIGN DRIVE TAKEN");
}

std::string heading() {
  return fmt::format(
      "{:>5}{:>14}{:>14}{:>14}{:>14}{:>13}{:>15}{:>14}{:>8}{:>12}{:>7}\n{:>5}{:>14}{:>14}{:>14}{:>14}{:>7}{:>6}{:>8}{:>"
      "7}"
      "{:>7}{:>7}{:>8}{:>6}{:>6}{:>7}\n",
      "house", "1 before", "1 after", "2 in 1's", "2 alone", "closures", "wall lost, %", "stray, %", "moved", "changes",
      "CPU", "", "mm    deg", "mm    deg", "mm    deg", "mm    deg", "right", "wrong", "before", "after", "before",
      "after", "found", "told", "false", "s");
}

void print_row(const char* name, const std::vector<ExtendScore>& scores,
               const std::function<double(const ExtendScore&)>& figure) {
  std::vector<double> values;
  for (const ExtendScore& score : scores) values.push_back(figure(score));
  std::sort(values.begin(), values.end());
  fmt::print("{:<52}{:>9.3f}{:>9.3f}\n", name, values[values.size() / 2], values.back());
}

void print_sums(const std::vector<ExtendScore>& all) {
  std::vector<ExtendScore> scores;
  int refused = 0;
  for (const ExtendScore& score : all) {
    if (score.failure.empty()) scores.push_back(score);
    refused += score.foreign_refused ? 1 : 0;
  }
  fmt::print("\nSimulated: {} of {} maps extended; {} of {} drives of other houses refused\n", scores.size(),
             all.size(), refused, all.size());
  if (scores.empty()) return;
  fmt::print("{:<52}{:>9}{:>9}\n", "", "median", "worst");
  print_row("ATE of drive 1 before, mm", scores, [](const auto& s) { return 1e3 * s.first_before.position_m; });
  print_row("ATE of drive 1 after, mm", scores, [](const auto& s) { return 1e3 * s.first_after.position_m; });
  print_row("drive 2 in drive 1's frame, mm (RMSE)", scores,
            [](const auto& s) { return 1e3 * s.second_in_frame.position_m; });
  print_row("drive 2 in drive 1's frame, deg (RMSE)", scores,
            [](const auto& s) { return kDegreesPerRadian * s.second_in_frame.heading_rad; });
  print_row("wall that three scans saw but the grid lacks before, %", scores,
            [](const auto& s) { return 100.0 * (1.0 - s.grid_before.recall); });
  print_row("the same after, %", scores, [](const auto& s) { return 100.0 * (1.0 - s.grid_after.recall); });
  print_row("occupied cells off any face before, %", scores, [](const auto& s) { return 100.0 * s.grid_before.stray; });
  print_row("the same after, %", scores, [](const auto& s) { return 100.0 * s.grid_after.stray; });
  print_row("way that the first node was moved, mm", scores, [](const auto& s) { return 1e3 * s.origin_m; });
  print_row("CPU time of extending, s", scores, [](const auto& s) { return s.cpu_s; });
  ExtendScore sum;
  for (const ExtendScore& s : scores) {
    sum.right += s.right;
    sum.wrong += s.wrong;
    sum.moved += s.moved;
    sum.moved_found += s.moved_found;
    sum.changes += s.changes;
    sum.changes_false += s.changes_false;
  }
  fmt::print("closures between the drives: {} right, {} wrong\n", sum.right, sum.wrong);
  fmt::print("furniture moved between the drives: {} of {} pieces told; of {} changes told {} are none\n",
             sum.moved_found, sum.moved, sum.changes, sum.changes_false);
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Extends maps of random simulated houses by a drive of another day and scores them against the truth.");
  app.add_option("--first", options.first, "number of the first house")->capture_default_str();
  app.add_option("--houses", options.houses, "how many")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_flag("!--no-foreign", options.foreign, "do not try drives of other houses");
  app.add_option("--hard-place", options.hard_place, "drives of this place of the gallery instead of random houses");
  CLI11_PARSE(app, argc, argv);
  if (!options.hard_place.empty()) simulator::need_hard_place(options.hard_place);
  std::vector<ExtendScore> scores;
  fmt::print("{}", heading());
  for (int i = 0; i < options.houses; ++i) {
    scores.push_back(score_house_twice(options.first + static_cast<std::uint64_t>(i), options));
    fmt::print("{}\n", line_of(scores.back()));
    if (!scores.back().foreign_words.empty()) fmt::print(stderr, "{}\n", scores.back().foreign_words);
    std::fflush(stdout);
  }
  print_sums(scores);
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
