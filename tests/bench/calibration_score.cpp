#include "tests/bench/calibration_score.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "apps/simulator/calibration_runs.hpp"
#include "apps/simulator/random_house.hpp"
#include "apps/simulator/simulate.hpp"
#include "apps/simulator/write_drive.hpp"
#include "core/angles.hpp"
#include "core/errors.hpp"
#include "graph/calibrate/combined_calibration.hpp"
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
double ConstantScore::usual_width() const { return quantile_of(half_widths, 0.5); }
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

constexpr std::array<const char*, kDriveConstants> kNames = {"left_m_per_tick", "right_m_per_tick", "track_width_m",
                                                             "lidar x_m",       "lidar y_m",        "lidar heading_deg",
                                                             "clock offset"};

/// How errors are told.
struct ToldUnit {
  const char* unit;
  double factor;
};

ToldUnit told_unit(DriveConstant c, const simulator::Truth& truth) {
  if (c == kLeftPerTick) return {"ppm", 1e6 / std::abs(truth.left_m_per_tick)};
  if (c == kRightPerTick) return {"ppm", 1e6 / std::abs(truth.right_m_per_tick)};
  if (c == kLidarHeading) return {"deg", kDegreesPerRadian};
  return {c == kClockOffset ? "ms" : "mm", 1e3};
}

/// What robot.yaml should say, and what it says; the clock's offset against what it says.
DriveVector true_constants(const simulator::Truth& truth) {
  DriveVector values;
  // The clocks drift apart: one offset holds in the middle of the drive.
  const double middle_s = 0.5 * truth.trajectory.back().time_s;
  values << truth.left_m_per_tick, truth.right_m_per_tick, truth.track_width_as_driven_m, truth.lidar.x_m,
      truth.lidar.y_m, truth.lidar.heading_rad, -truth.lidar.stamp_delay_s - truth.lidar.clock_drift_rel * middle_s;
  return values;
}

DriveVector stated_constants(const Robot& robot) {
  DriveVector values;
  values << robot.drive->left_m_per_tick, robot.drive->right_m_per_tick, robot.drive->track_width_m, robot.lidar.x_m,
      robot.lidar.y_m, kDegree * robot.lidar.heading_deg, 0.0;
  return values;
}

void add_score(DriveConstant c, const simulator::Truth& truth, const Robot& stated, double found, double half_width,
               Collector& collector) {
  const ToldUnit told = told_unit(c, truth);
  const double true_value = true_constants(truth)[c];
  double error = found - true_value;
  double before = stated_constants(stated)[c] - true_value;
  if (c == kLidarHeading) {
    error = wrap_angle(error);
    before = wrap_angle(before);
  }
  collector.add(kNames[static_cast<std::size_t>(c)], told.unit, told.factor, before, 0.0, error, half_width);
}

void add_drive_scores(const simulator::Truth& truth, const Robot& stated, const DriveCalibration& found,
                      Collector& collector) {
  for (int c = 0; c < kDriveConstants; ++c) {
    const auto constant = static_cast<DriveConstant>(c);
    add_score(constant, truth, stated, found.found[c], found.half_width(constant), collector);
  }
}

simulator::Plan long_lidar_plan(std::uint64_t seed) {
  simulator::Plan plan = raw_plan(seed);
  plan.defects.range_scale = simulator::Knob::normal(1.0, 0.005);
  return plan;
}

DriveCalibration calibrated(const Drive& drive, bool increments_only) {
  const DriveCalibration found = calibrate_drive(drive, find_scan_increments(drive));
  return increments_only ? found : with_mounting_of(refine_by_mapping(drive, found, 1), found);
}

Drive written_and_read(const simulator::SimulatedDrive& made, const simulator::RobotSpec& robot,
                       const ReaderFolder& folder) {
  simulator::write_drive(made, robot, folder.path() / "drive");
  return read_drive(folder.path() / "drive");
}

}  // namespace

DrivesScore score_drives(std::uint64_t first, int count, bool increments_only) {
  DrivesScore score;
  Collector collector;
  for (std::uint64_t seed = first; seed < first + static_cast<std::uint64_t>(count); ++seed) {
    const simulator::Plan plan = long_lidar_plan(seed);
    const simulator::SimulatedDrive made = simulator::simulate(plan, seed);
    const ReaderFolder folder;
    const Drive drive = written_and_read(made, plan.robot, folder);
    try {
      add_drive_scores(made.truth, drive.robot, calibrated(drive, increments_only), collector);
    } catch (const PoorData&) {
      ++score.failures;
    }
  }
  score.constants = collector.take();
  return score;
}

TogetherScore score_together(std::uint64_t first, int count, bool increments_only) {
  TogetherScore score;
  Collector by_runs;
  Collector by_drive;
  Collector by_both;
  for (std::uint64_t seed = first; seed < first + static_cast<std::uint64_t>(count); ++seed) {
    const simulator::Plan plan = long_lidar_plan(seed);
    const simulator::SimulatedDrive made = simulator::simulate(plan, seed);
    const ReaderFolder folder;
    const Drive drive = written_and_read(made, plan.robot, folder);
    simulator::write_runs(simulator::simulate_runs(plan, {}, seed), folder.path() / "runs");
    const Robot& stated = drive.robot;
    try {
      const DriveCalibration found = calibrated(drive, increments_only);
      const RunCalibration runs = calibrate_runs(read_runs(folder.path() / "runs"));
      add_drive_scores(made.truth, stated, found, by_drive);
      const std::array<Estimate, 3> told{runs.left_m_per_tick, runs.right_m_per_tick, runs.mean_width_m};
      for (const DriveConstant c : {kLeftPerTick, kRightPerTick, kTrackWidth}) {
        const Estimate& estimate = told.at(static_cast<std::size_t>(c));
        add_score(c, made.truth, stated, estimate.value, estimate.half_width, by_runs);
      }
      const CombinedCalibration both =
          combine({witness_of("the runs", runs), witness_of("the drive", found, stated, stated)});
      for (int c = 0; c < kDriveConstants; ++c) {
        const auto constant = static_cast<DriveConstant>(c);
        add_score(constant, made.truth, stated, both.all.found[c], both.half_width(constant), by_both);
      }
      score.contradictions += both.contradictions.empty() ? 0 : 1;
    } catch (const PoorData&) {
      ++score.failures;
    }
  }
  score.runs = by_runs.take();
  score.drive = by_drive.take();
  score.both = by_both.take();
  return score;
}

}  // namespace wainscot::bench
