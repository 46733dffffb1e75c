// How good calibration is, over many simulated robots: from runs with a tape, from a drive with scans, and from both.
//
//   build/tests/bench/calibration --runs 200
//   build/tests/bench/calibration --drives 200
//   build/tests/bench/calibration --together 30 --first 9601

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

const ConstantScore* score_of(const std::string& name, const std::vector<ConstantScore>& scores) {
  const auto same = [&name](const ConstantScore& score) { return score.name == name; };
  const auto found = std::find_if(scores.begin(), scores.end(), same);
  return found == scores.end() ? nullptr : &*found;
}

/// "median error, median half width, held", of those who know the constant.
std::string cells(const ConstantScore* score) {
  if (score == nullptr) return fmt::format("{:>28}", "-");
  return fmt::format("{:>10.4g}{:>10.4g}{:>6.1f} %", score->quantile(0.5), score->usual_width(),
                     100.0 * score->coverage());
}

void print(const TogetherScore& score) {
  fmt::print("{:<20}{:>5}{:>10}{:>28}{:>28}{:>28}\n", "", "", "before", "runs", "drive", "both");
  fmt::print("{:<20}{:>5}{:>10}", "constant", "unit", "median");
  for (int i = 0; i < 3; ++i) fmt::print("{:>10}{:>10}{:>8}", "median", "95 % +-", "holds");
  fmt::print("\n");
  for (const ConstantScore& both : score.both) {
    fmt::print("{:<20}{:>5}{:>10.4g}{}{}{}\n", both.name, both.unit, both.before(),
               cells(score_of(both.name, score.runs)), cells(score_of(both.name, score.drive)), cells(&both));
  }
}

int run(int argc, char** argv) {
  CLI::App app("How good calibration is, over many simulated robots.");
  int runs = 0;
  int drives = 0;
  int together = 0;
  std::uint64_t first = 1;
  bool increments_only = false;
  app.add_option("--runs", runs, "calibrate so many robots from runs with a tape");
  app.add_option("--drives", drives, "calibrate so many robots from a drive with scans");
  app.add_option("--together", together, "calibrate so many robots from runs, from a drive, and from both");
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
  if (together > 0) {
    const TogetherScore score = score_together(first, together, increments_only);
    fmt::print(
        "Simulated runs and drives of {} robots ({} could not be calibrated, {} told to contradict themselves)\n",
        together, score.failures, score.contradictions);
    fmt::print("Errors, half widths of the 95 % intervals, and how often these hold the truth\n\n");
    print(score);
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
