// How good calibration is, over many simulated robots: from runs with a tape, and from a drive with scans.
//
//   build/tests/bench/calibration --runs 200
//   build/tests/bench/calibration --drives 200

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "tests/bench/calibration_score.hpp"

namespace wainscot::bench {
namespace {

void print(const std::vector<ConstantScore>& scores) {
  fmt::print("{:<24}{:>12}{:>12}{:>12}{:>12}{:>14}\n", "constant", "unit", "before", "median", "95 %", "95 % holds");
  for (const ConstantScore& s : scores) {
    fmt::print("{:<24}{:>12}{:>12.4g}{:>12.4g}{:>12.4g}{:>12.1f} %\n", s.name, s.unit, s.before(), s.quantile(0.5),
               s.quantile(0.95), 100.0 * s.coverage());
  }
}

int run(int argc, char** argv) {
  CLI::App app("How good calibration is, over many simulated robots.");
  int runs = 0;
  int drives = 0;
  std::uint64_t first = 1;
  bool increments_only = false;
  app.add_option("--runs", runs, "calibrate so many robots from runs with a tape");
  app.add_option("--drives", drives, "calibrate so many robots from a drive with scans");
  app.add_option("--first", first, "the first seed");
  app.add_flag("--increments-only", increments_only, "of drives: without the mapper");
  CLI11_PARSE(app, argc, argv);
  if (runs > 0) {
    const RunsScore score = score_runs(first, runs);
    fmt::print("Simulated runs of {} robots: errors, and how often the stated 95 % interval holds the truth\n\n", runs);
    print(score.constants);
    fmt::print(
        "\nSquare-path test: E_max,syst before / after on other squares, median {:.1f}-fold (least tenth {:.1f})\n",
        score.improvement(0.5), score.improvement(0.1));
  }
  if (drives > 0) {
    const DrivesScore score = score_drives(first, drives, increments_only);
    fmt::print("Simulated drives of {} robots ({} could not be calibrated)\n\n", drives, score.failures);
    print(score.constants);
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
