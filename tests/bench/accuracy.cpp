// Maps random simulated houses and prints how far the maps are from the truth: median, 95 % and worst, with the numbers
// of the worst houses. Not a timed test.
//
//   build/tests/bench/accuracy --houses 300 --csv houses.csv

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <functional>
#include <mutex>
#include <numeric>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/random_house.hpp"
#include "core/errors.hpp"
#include "tests/bench/house_score.hpp"

namespace wainscot::bench {
namespace {

constexpr double kDegrees = 57.29577951308232;

struct Options {
  std::uint64_t first = 1;
  int houses = 300;
  int jobs = 2;
  std::string level = "calibrated";
  std::vector<std::string> knobs;
  std::string csv;
};

simulator::Plan plan_of(std::uint64_t house, const Options& options) {
  simulator::Plan plan = simulator::random_house(house);
  if (options.level == "calibrated") {
    plan.defects = simulator::calibrated(plan.defects);
    plan.uncertainties_stated = true;
  } else if (options.level == "perfect") {
    plan.defects = simulator::perfect(plan.defects);
  }
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
      scores[i] = score_house(plan_of(house, options), house);
      const HouseScore& s = scores[i];
      const std::lock_guard<std::mutex> lock(talk);
      fmt::print(stderr, "house {}: {}\n", house,
                 s.failure.empty()
                     ? fmt::format("{:.1f} mm, {:.3f} deg, {:.2f} s for {:.0f} s", 1e3 * s.path.position_rmse_m,
                                   kDegrees * s.path.heading_rmse_rad, s.build_cpu_s, s.drive_s)
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

void print_table(const std::vector<HouseScore>& all, const Options& options) {
  std::vector<HouseScore> scores;
  for (const HouseScore& score : all) {
    if (score.failure.empty()) {
      scores.push_back(score);
    } else {
      fmt::print("house {} gave no map: {}\n", score.house, score.failure);
    }
  }
  fmt::print("Simulated: {} of {} random houses mapped, first {}, robots: {}\n", scores.size(), all.size(),
             options.first, options.level);
  if (scores.empty()) {
    return;
  }
  fmt::print("{:<44}{:>10}{:>10}   {}\n", "", "median", "95 %", "worst three");
  fmt::print("{}", row("ATE, mm", scores, [](const auto& s) { return 1e3 * s.path.position_rmse_m; }));
  fmt::print("{}",
             row("largest position error, mm", scores, [](const auto& s) { return 1e3 * s.path.position_max_m; }));
  fmt::print("{}", row("ATE after alignment with scale, mm", scores,
                       [](const auto& s) { return 1e3 * s.shape.position_rmse_m; }));
  fmt::print("{}", row("heading, deg RMSE", scores, [](const auto& s) { return kDegrees * s.path.heading_rmse_rad; }));
  fmt::print("{}",
             row("odometry alone: ATE, mm", scores, [](const auto& s) { return 1e3 * s.odometry.position_rmse_m; }));
  fmt::print("{}", row("CPU time of the build, s", scores, [](const auto& s) { return s.build_cpu_s; }));
  fmt::print("{}", row("CPU time / recorded time * 400", scores,
                       [](const auto& s) { return 400.0 * s.build_cpu_s / s.drive_s; }));
  const auto sum = [&](const auto& count) {
    return std::accumulate(scores.begin(), scores.end(), 0,
                           [&](int total, const HouseScore& s) { return total + count(s); });
  };
  const int revisits = sum([](const auto& s) { return s.closures.revisits; });
  const int closed = sum([](const auto& s) { return s.closures.revisits_closed; });
  fmt::print("closures: {} right, {} wrong; {} of {} revisits closed ({:.1f} %)\n",
             sum([](const auto& s) { return s.closures.right; }), sum([](const auto& s) { return s.closures.wrong; }),
             closed, revisits, revisits > 0 ? 100.0 * closed / revisits : 100.0);
  for (const HouseScore& score : scores) {
    if (score.closures.wrong > 0) {
      fmt::print("house {}: {} wrong closures\n", score.house, score.closures.wrong);
    }
  }
}

void write_csv(const std::vector<HouseScore>& scores, const std::string& file) {
  std::ofstream out(file);
  out << "house,drive_s,path_m,nodes,build_cpu_s,ate_mm,max_mm,shape_mm,scale,heading_deg,odometry_mm,right,wrong,"
         "revisits,closed,failure\n";
  for (const HouseScore& s : scores) {
    out << fmt::format("{},{:.1f},{:.1f},{},{:.3f},{:.2f},{:.2f},{:.2f},{:.6f},{:.4f},{:.1f},{},{},{},{},{}\n", s.house,
                       s.drive_s, s.path_m, s.nodes, s.build_cpu_s, 1e3 * s.path.position_rmse_m,
                       1e3 * s.path.position_max_m, 1e3 * s.shape.position_rmse_m, s.shape.scale,
                       kDegrees * s.path.heading_rmse_rad, 1e3 * s.odometry.position_rmse_m, s.closures.right,
                       s.closures.wrong, s.closures.revisits, s.closures.revisits_closed, s.failure);
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
      ->check(CLI::IsMember({"raw", "calibrated", "perfect"}));
  app.add_option("--set", options.knobs, "a defect's knob, name=value, as `wainscot simulate` takes it");
  app.add_option("--csv", options.csv, "also write one row a house to this file");
  CLI11_PARSE(app, argc, argv);
  try {
    const std::vector<HouseScore> scores = score_all(options);
    print_table(scores, options);
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
