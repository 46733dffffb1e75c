#include "tests/bench/calibration_score.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "apps/simulator/calibration_runs.hpp"
#include "apps/simulator/random_house.hpp"
#include "graph/run_calibration.hpp"
#include "graph/square_runs.hpp"
#include "io/run_reader.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot::bench {
namespace {

double quantile_of(std::vector<double> values, double p) {
  if (values.empty()) return 0.0;
  for (double& v : values) v = std::abs(v);
  std::sort(values.begin(), values.end());
  return values[std::min(values.size() - 1, static_cast<std::size_t>(p * static_cast<double>(values.size())))];
}

/// Collects the scores by constant, in the order of their first coming.
class Collector {
 public:
  void add(const std::string& name, const std::string& unit, double factor, double stated, double truth, double found,
           double half_width) {
    if (index_.count(name) == 0) {
      index_[name] = scores_.size();
      scores_.push_back({name, unit, {}, {}, {}});
    }
    ConstantScore& score = scores_[index_[name]];
    score.stated_errors.push_back(factor * (stated - truth));
    score.errors.push_back(factor * (found - truth));
    score.half_widths.push_back(factor * half_width);
  }
  std::vector<ConstantScore> take() { return std::move(scores_); }

 private:
  std::map<std::string, std::size_t> index_;
  std::vector<ConstantScore> scores_;
};

simulator::Plan raw_plan(std::uint64_t seed) {
  simulator::Plan plan = simulator::random_house(seed);
  plan.robot.motion_log = simulator::MotionLog::wheels;
  return plan;
}

/// E_max,syst of other squares of the same robot with robot.yaml's constants / with those of the square-path test.
void score_squares(const simulator::Plan& plan, std::uint64_t seed, const CalibrationRuns& runs, RunsScore& score) {
  const auto test = test_squares(runs);
  if (!test) return;
  simulator::RunSet set;
  set.straights = set.turns = set.triangles = 0;
  const ReaderFolder folder;
  // The same wheels, other runs: the seed of the runs is not the seed of the wheels.
  simulator::write_runs(simulator::simulate_runs(plan, set, seed, 1), folder.path() / "runs", false);
  const CalibrationRuns others = read_runs(folder.path() / "runs");
  const auto again = test_squares(others);
  if (!again) return;
  score.improvements.push_back(again->found.largest_systematic_m /
                               largest_systematic_m(others, *again, test->corrected));
}

}  // namespace

double ConstantScore::before() const { return quantile_of(stated_errors, 0.5); }
double ConstantScore::quantile(double p) const { return quantile_of(errors, p); }
double ConstantScore::coverage() const {
  double held = 0.0;
  for (std::size_t i = 0; i < errors.size(); ++i) held += std::abs(errors[i]) <= half_widths[i] ? 1.0 : 0.0;
  return held / static_cast<double>(errors.size());
}
double RunsScore::improvement(double p) const { return quantile_of(improvements, p); }

RunsScore score_runs(std::uint64_t first, int count) {
  RunsScore score;
  Collector collector;
  for (std::uint64_t seed = first; seed < first + static_cast<std::uint64_t>(count); ++seed) {
    const simulator::Plan plan = raw_plan(seed);
    const simulator::SimulatedRuns made = simulator::simulate_runs(plan, {}, seed);
    const ReaderFolder folder;
    simulator::write_runs(made, folder.path() / "runs", false);
    const CalibrationRuns runs = read_runs(folder.path() / "runs");
    const RunCalibration found = calibrate_runs(runs);
    const DriveConstants& stated = *runs.robot.drive;
    const double l = made.left_m_per_tick;
    const double r = made.right_m_per_tick;
    collector.add("left_m_per_tick", "ppm", 1e6 / std::abs(l), stated.left_m_per_tick, l, found.left_m_per_tick.value,
                  found.left_m_per_tick.half_width);
    collector.add("right_m_per_tick", "ppm", 1e6 / std::abs(r), stated.right_m_per_tick, r,
                  found.right_m_per_tick.value, found.right_m_per_tick.half_width);
    double mean = 0.0;
    for (const SurfaceWidth& surface : found.surfaces) {
      const double truth = simulator::width_on_spot_m(made.wheels, surface.surface);
      mean += truth / static_cast<double>(found.surfaces.size());
      collector.add("width, each surface", "mm", 1e3, stated.track_width_m, truth, surface.width_m.value,
                    surface.width_m.half_width);
    }
    collector.add("width, mean", "mm", 1e3, stated.track_width_m, mean, found.mean_width_m.value,
                  found.mean_width_m.half_width);
    score_squares(plan, seed, runs, score);
  }
  score.constants = collector.take();
  return score;
}

}  // namespace wainscot::bench
