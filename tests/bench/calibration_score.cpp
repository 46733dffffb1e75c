#include "tests/bench/calibration_score.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "apps/simulator/calibration_runs.hpp"
#include "apps/simulator/random_house.hpp"
#include "apps/simulator/simulate.hpp"
#include "apps/simulator/write_drive.hpp"
#include "core/errors.hpp"
#include "graph/calibrate/drive_calibration.hpp"
#include "graph/calibrate/mapped_calibration.hpp"
#include "graph/calibrate/run_calibration.hpp"
#include "graph/calibrate/square_runs.hpp"
#include "io/log/drive_reader.hpp"
#include "io/log/run_reader.hpp"
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

CalibrationRuns squares_of(const simulator::Plan& plan, std::uint64_t seed, int repetition) {
  simulator::RunSet set;
  set.straights = set.turns = set.triangles = 0;
  set.square_m = 4.0;
  const ReaderFolder folder;
  simulator::write_runs(simulator::simulate_runs(plan, set, seed, repetition), folder.path() / "runs");
  return read_runs(folder.path() / "runs");
}

/// E_max,syst of other squares of the same robot with robot.yaml's constants / with those of the square-path test, as
/// the publication compares them: five each way of 4 m. Its robot hardly slips.
void score_squares(simulator::Plan plan, std::uint64_t seed, RunsScore& score) {
  plan.defects.slip_random_rel = simulator::Knob::fixed(0.002);
  const CalibrationRuns runs = squares_of(plan, seed, 0);
  const CalibrationRuns others = squares_of(plan, seed, 1);
  const auto test = test_squares(runs);
  const auto again = test_squares(others);
  if (!test || !again) return;
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
    simulator::write_runs(made, folder.path() / "runs");
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
    score_squares(plan, seed, score);
  }
  score.constants = collector.take();
  return score;
}

namespace {

void add_drive_scores(const simulator::SimulatedDrive& made, const Robot& stated, const DriveCalibration& found,
                      Collector& collector) {
  const simulator::Truth& truth = made.truth;
  const DriveConstants& drive = *stated.drive;
  const auto add = [&](DriveConstant c, const char* name, const char* unit, double factor, double before, double t) {
    collector.add(name, unit, factor, before, t, found.found[c], found.half_width(c));
  };
  const double l = truth.left_m_per_tick;
  const double r = truth.right_m_per_tick;
  add(kLeftPerTick, "left_m_per_tick", "ppm", 1e6 / std::abs(l), drive.left_m_per_tick, l);
  add(kRightPerTick, "right_m_per_tick", "ppm", 1e6 / std::abs(r), drive.right_m_per_tick, r);
  add(kTrackWidth, "track_width_m", "mm", 1e3, drive.track_width_m, truth.track_width_as_driven_m);
  add(kLidarX, "lidar x_m", "mm", 1e3, stated.lidar.x_m, truth.lidar.x_m);
  add(kLidarY, "lidar y_m", "mm", 1e3, stated.lidar.y_m, truth.lidar.y_m);
  constexpr double kRadian_deg = 57.29577951308232;
  const double heading = std::remainder(truth.lidar.heading_rad - found.found[kLidarHeading], 2.0 * std::acos(-1.0));
  const double heading_before =
      std::remainder(stated.lidar.heading_deg / kRadian_deg - truth.lidar.heading_rad, 2.0 * std::acos(-1.0));
  collector.add("lidar heading_deg", "deg", kRadian_deg, heading_before, 0.0, -heading,
                found.half_width(kLidarHeading));
  // The clocks drift apart: one offset holds in the middle of the drive.
  const double middle_s = 0.5 * truth.trajectory.back().time_s;
  add(kClockOffset, "clock offset", "ms", 1e3, 0.0,
      -truth.lidar.stamp_delay_s - truth.lidar.clock_drift_rel * middle_s);
}

}  // namespace

DrivesScore score_drives(std::uint64_t first, int count, bool increments_only) {
  DrivesScore score;
  Collector collector;
  for (std::uint64_t seed = first; seed < first + static_cast<std::uint64_t>(count); ++seed) {
    simulator::Plan plan = raw_plan(seed);
    plan.defects.range_scale = simulator::Knob::normal(1.0, 0.005);
    const simulator::SimulatedDrive made = simulator::simulate(plan, seed);
    const ReaderFolder folder;
    simulator::write_drive(made, plan.robot, folder.path() / "drive");
    const Drive drive = read_drive(folder.path() / "drive");
    try {
      DriveCalibration found = calibrate_drive(drive, find_scan_increments(drive));
      if (!increments_only) found = with_mounting_of(refine_by_mapping(drive, found, 1), found);
      add_drive_scores(made, drive.robot, found, collector);
    } catch (const PoorData&) {
      ++score.failures;
    }
  }
  score.constants = collector.take();
  return score;
}

}  // namespace wainscot::bench
