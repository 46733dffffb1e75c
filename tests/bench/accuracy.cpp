// Maps random simulated houses and prints how far the maps are from the truth: median, 95 % and worst, with the numbers
// of the worst houses. Not a timed test.
//
//   build/tests/bench/accuracy --houses 300 --csv houses.csv

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <ctime>
#include <fstream>
#include <functional>
#include <limits>
#include <map>
#include <mutex>
#include <random>
#include <stdexcept>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <nanoflann.hpp>

#include "apps/simulator/like_recorded.hpp"
#include "apps/simulator/random_house.hpp"
#include "core/angles.hpp"
#include "core/errors.hpp"
#include "core/median.hpp"
#include "tests/bench/house_score.hpp"

namespace wainscot::bench {
namespace {

struct Options {
  std::uint64_t first = 1;
  int houses = 300;
  int jobs = 2;
  std::string level = "calibrated";
  std::vector<std::string> knobs;
  bool no_constants = false;
  double wheel_rate_hz = 0.0;  // 0: each robot's own
  std::string csv;
};

simulator::Plan plan_of(std::uint64_t house, const Options& options) {
  simulator::Plan plan = simulator::random_house(house);
  if (options.level == "calibrated") {
    plan.defects = simulator::calibrated(plan.defects);
    plan.uncertainties_stated = true;
  } else if (options.level == "misstated") {
    plan.defects = simulator::calibrated(plan.defects);
    plan.uncertainties_stated = true;
    simulator::misstate_noise(plan.defects, house);
  } else if (options.level == "perfect") {
    plan.defects = simulator::perfect(plan.defects);
  } else if (options.level == "like-recorded") {
    plan = simulator::like_recorded(std::move(plan), house);
  }
  if (options.no_constants || options.wheel_rate_hz > 0.0) plan.robot.motion_log = simulator::MotionLog::wheels;
  if (options.wheel_rate_hz > 0.0) plan.robot.wheel_rate_hz = options.wheel_rate_hz;
  for (const std::string& knob : options.knobs) {
    const std::size_t equals = knob.find('=');
    simulator::set_knob(plan.defects, knob.substr(0, equals),
                        equals == std::string::npos ? "" : knob.substr(equals + 1));
  }
  return plan;
}

std::vector<HouseScore> score_all(const Options& options) {
  std::vector<HouseScore> scores(static_cast<std::size_t>(options.houses));
  std::atomic<std::size_t> next{0};
  std::mutex talk;
  const auto work = [&] {
    for (std::size_t i = next++; i < scores.size(); i = next++) {
      const std::uint64_t house = options.first + i;
      scores[i] =
          score_house(plan_of(house, options), house, options.no_constants ? Stated::no_constants : Stated::all);
      const HouseScore& s = scores[i];
      const std::lock_guard<std::mutex> lock(talk);
      fmt::print(stderr, "house {}: {}\n", house,
                 s.failure.empty()
                     ? fmt::format("{:.1f} mm, {:.3f} deg, {:.2f} s for {:.0f} s", 1e3 * s.path.position_rmse_m,
                                   kDegreesPerRadian * s.path.heading_rmse_rad, s.build_cpu_s, s.drive_s)
                     : s.failure);
    }
  };
  std::vector<std::thread> threads;
  for (int job = 0; job < options.jobs; ++job) {
    threads.emplace_back(work);
  }
  for (std::thread& thread : threads) {
    thread.join();
  }
  return scores;
}

/// Points as nanoflann asks for them.
struct PointTable {
  std::vector<std::array<double, 2>> points;
  std::size_t kdtree_get_point_count() const { return points.size(); }
  double kdtree_get_pt(std::size_t index, std::size_t axis) const { return points[index][axis]; }
  template <typename Box>
  bool kdtree_get_bbox(Box& /*box*/) const {
    return false;
  }
};

/// CPU time of one nearest-neighbour query among 5,000 points: what times are compared with, whatever the machine.
double nearest_neighbour_query_s() {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> place(0.0, 10.0);
  PointTable table;
  for (int i = 0; i < 5000; ++i) {
    table.points.push_back({place(random), place(random)});
  }
  using Tree = nanoflann::KDTreeSingleIndexAdaptor<nanoflann::L2_Simple_Adaptor<double, PointTable>, PointTable, 2>;
  Tree tree(2, table, nanoflann::KDTreeSingleIndexAdaptorParams(10));
  tree.buildIndex();
  constexpr int queries = 200000;
  double best_s = std::numeric_limits<double>::infinity();
  for (int repeat = 0; repeat < 5; ++repeat) {
    const std::clock_t begin = std::clock();
    for (int i = 0; i < queries; ++i) {
      const std::array<double, 2> query = {place(random), place(random)};
      std::uint32_t index = 0;
      double squared = 0.0;
      tree.knnSearch(query.data(), 1, &index, &squared);
      if (squared < 0.0) {
        throw std::logic_error("a squared distance below zero");
      }
    }
    best_s = std::min(best_s, static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC / queries);
  }
  return best_s;
}

using Figure = std::function<double(const HouseScore&)>;

/// Median, 95 % and the three worst of a figure of which less is better.
std::string row(const std::string& name, const std::vector<HouseScore>& scores, const Figure& figure) {
  std::vector<std::pair<double, std::uint64_t>> values;
  for (const HouseScore& score : scores) {
    values.emplace_back(figure(score), score.house);
  }
  std::sort(values.begin(), values.end());
  const auto at = [&](double fraction) {
    return values[static_cast<std::size_t>(std::ceil(fraction * static_cast<double>(values.size()))) - 1].first;
  };
  std::string worst;
  for (std::size_t i = values.size(); i > 0 && i + 3 > values.size(); --i) {
    worst += fmt::format("  {:.3f} (house {})", values[i - 1].first, values[i - 1].second);
  }
  return fmt::format("{:<44}{:>10.3f}{:>10.3f} {}\n", name, at(0.5), at(0.95), worst);
}

/// Over all pairs of all houses together.
void print_walls(const std::vector<HouseScore>& scores) {
  std::vector<double> errors;
  double within = 0.0;
  int unmeasured = 0;
  for (const HouseScore& score : scores) {
    for (const double error : score.walls.errors_m) {
      errors.push_back(std::abs(error));
    }
    within += score.walls.within_goal() * static_cast<double>(score.walls.errors_m.size());
    unmeasured += score.walls.unmeasured;
  }
  if (errors.empty()) {
    fmt::print("distances between walls: none measured\n");
    return;
  }
  std::sort(errors.begin(), errors.end());
  const auto count = static_cast<double>(errors.size());
  fmt::print(
      "distances between walls: {} measured, {} not; error median {:.2f} mm, 95 % {:.2f} mm, worst {:.1f} mm; within 5 "
      "mm "
      "or 0.2 %: {:.2f} %\n",
      errors.size(), unmeasured, 1e3 * errors[errors.size() / 2],
      1e3 * errors[static_cast<std::size_t>(std::ceil(0.95 * count)) - 1], 1e3 * errors.back(), 100.0 * within / count);
}

void print_closures(const std::vector<HouseScore>& scores) {
  ClosureScore all;
  for (const HouseScore& score : scores) {
    all.right += score.closures.right;
    all.wrong += score.closures.wrong;
    all.revisits += score.closures.revisits;
    all.revisits_closed += score.closures.revisits_closed;
    if (score.closures.wrong > 0) {
      fmt::print("house {}: {} wrong closures\n", score.house, score.closures.wrong);
    }
  }
  fmt::print("closures: {} right, {} wrong; {} of {} revisits closed ({:.1f} %)\n", all.right, all.wrong,
             all.revisits_closed, all.revisits, all.revisits > 0 ? 100.0 * all.revisits_closed / all.revisits : 100.0);
}

void print_coverage(const std::vector<HouseScore>& scores) {
  struct Held {
    int count = 0;
    double squares = 0.0;
    std::vector<double> half_widths;
  };
  std::map<std::string, Held> held;
  for (const HouseScore& score : scores) {
    for (const Coverage& coverage : score.coverage) {
      Held& of_name = held[coverage.name];
      of_name.count += coverage.held ? 1 : 0;
      of_name.squares += coverage.squares;
      of_name.half_widths.push_back(coverage.half_width);
    }
  }
  fmt::print(
      "stated 95 % intervals: how many hold the truth, the mean of (error / standard uncertainty)^2, half width\n");
  for (auto& [name, of_name] : held) {
    const auto all = static_cast<double>(of_name.half_widths.size());
    const double width = median(of_name.half_widths);
    fmt::print("  {:<28} {:5.1f} % of {:<4} {:8.2f} {:>12}\n", name, 100.0 * of_name.count / all,
               of_name.half_widths.size(), of_name.squares / all, width > 0.0 ? fmt::format("{:.3g}", width) : "");
  }
}

void print_table(const std::vector<HouseScore>& all, const Options& options, double query_s) {
  std::vector<HouseScore> scores;
  for (const HouseScore& score : all) {
    if (score.failure.empty()) {
      scores.push_back(score);
    } else {
      fmt::print("house {} gave no map: {}\n", score.house, score.failure);
    }
  }
  fmt::print("Simulated: {} of {} random houses mapped, first {}, robots: {}{}\n", scores.size(), all.size(),
             options.first, options.level, options.no_constants ? ", robot.yaml without constants" : "");
  if (scores.empty()) {
    return;
  }
  fmt::print("{:<44}{:>10}{:>10}   {}\n", "", "median", "95 %", "worst three");
  fmt::print("{}", row("ATE, mm", scores, [](const auto& s) { return 1e3 * s.path.position_rmse_m; }));
  fmt::print("{}",
             row("largest position error, mm", scores, [](const auto& s) { return 1e3 * s.path.position_max_m; }));
  fmt::print("{}", row("ATE after alignment with scale, mm", scores,
                       [](const auto& s) { return 1e3 * s.shape.position_rmse_m; }));
  fmt::print("{}", row("heading, deg RMSE", scores,
                       [](const auto& s) { return kDegreesPerRadian * s.path.heading_rmse_rad; }));
  fmt::print("{}",
             row("odometry alone: ATE, mm", scores, [](const auto& s) { return 1e3 * s.odometry.position_rmse_m; }));
  fmt::print("{}", row("CPU time of the build, s", scores, [](const auto& s) { return s.build_cpu_s; }));
  fmt::print("{}", row("CPU time / recorded time * 400", scores,
                       [](const auto& s) { return 400.0 * s.build_cpu_s / s.drive_s; }));
  fmt::print("{}", row("CPU time a beam, nearest-neighbour queries", scores,
                       [query_s](const auto& s) { return s.build_cpu_s / static_cast<double>(s.beams) / query_s; }));
  fmt::print("{}", row("wall that three scans saw but the grid lacks, %", scores,
                       [](const auto& s) { return 100.0 * (1.0 - s.grid.recall); }));
  fmt::print("{}", row("occupied cells off any face, %", scores, [](const auto& s) { return 100.0 * s.grid.stray; }));
  print_walls(scores);
  print_closures(scores);
  print_coverage(scores);
}

void write_csv(const std::vector<HouseScore>& scores, const std::string& file) {
  std::ofstream out(file);
  out << "house,drive_s,beams,path_m,nodes,build_cpu_s,ate_mm,max_mm,shape_mm,scale,heading_deg,odometry_mm,right,"
         "wrong,"
         "revisits,closed,walls,walls_within_percent,wall_median_mm,grid_missing_percent,grid_stray_percent,pose_"
         "squares,failure\n";
  for (const HouseScore& s : scores) {
    const auto pose = std::find_if(s.coverage.begin(), s.coverage.end(),
                                   [](const Coverage& c) { return c.name == "pose: all three"; });
    out << fmt::format(
        "{},{:.1f},{},{:.1f},{},{:.3f},{:.2f},{:.2f},{:.2f},{:.6f},{:.4f},{:.1f},{},{},{},{},{},{:.2f},{:.2f},{:.3f},{:"
        "."
        "3f},{:.2f},{}\n",
        s.house, s.drive_s, s.beams, s.path_m, s.nodes, s.build_cpu_s, 1e3 * s.path.position_rmse_m,
        1e3 * s.path.position_max_m, 1e3 * s.shape.position_rmse_m, s.shape.scale,
        kDegreesPerRadian * s.path.heading_rmse_rad, 1e3 * s.odometry.position_rmse_m, s.closures.right,
        s.closures.wrong, s.closures.revisits, s.closures.revisits_closed, s.walls.errors_m.size(),
        100.0 * s.walls.within_goal(), 1e3 * s.walls.median_error_m(), 100.0 * (1.0 - s.grid.recall),
        100.0 * s.grid.stray, pose == s.coverage.end() ? 0.0 : pose->squares, s.failure);
  }
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Maps random simulated houses and scores the maps against the truth.");
  app.add_option("--first", options.first, "number of the first house")->capture_default_str();
  app.add_option("--houses", options.houses, "how many")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--jobs", options.jobs, "houses at a time")->capture_default_str()->check(CLI::Range(1, 256));
  app.add_option("--level", options.level, "the robots' constants")
      ->capture_default_str()
      ->check(CLI::IsMember({"raw", "calibrated", "misstated", "perfect", "like-recorded"}));
  app.add_flag("--no-constants", options.no_constants,
               "robot.yaml leaves out the wheels' constants and the lidar's mounting");
  app.add_option("--wheel-rate", options.wheel_rate_hz, "counts so often a second, instead of each robot's own")
      ->check(CLI::Range(1.0, 500.0));
  app.add_option("--set", options.knobs, "a defect's knob, name=value, as `wainscot simulate` takes it");
  app.add_option("--csv", options.csv, "also write one row a house to this file");
  CLI11_PARSE(app, argc, argv);
  try {
    const double query_s = nearest_neighbour_query_s();
    const std::vector<HouseScore> scores = score_all(options);
    print_table(scores, options, query_s);
    if (!options.csv.empty()) {
      write_csv(scores, options.csv);
    }
  } catch (const InputError& wrong) {
    fmt::print(stderr, "{}\n", wrong.what());
    return 2;
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
