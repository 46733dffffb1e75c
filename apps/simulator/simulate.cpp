#include "apps/simulator/simulate.hpp"

#include <cmath>
#include <string_view>

#include "apps/simulator/held_rows.hpp"
#include "apps/simulator/house_in_time.hpp"
#include "apps/simulator/lines.hpp"
#include "apps/simulator/markers.hpp"
#include "apps/simulator/motion.hpp"
#include "apps/simulator/people.hpp"
#include "core/errors.hpp"

namespace wainscot::simulator {

namespace {

double to_digits(double value, int digits) {
  if (value == 0.0) return 0.0;
  const double scale = std::pow(10.0, digits - 1.0 - std::floor(std::log10(std::abs(value))));
  return std::round(value * scale) / scale;
}

double six_digits(double value) { return to_digits(value, 6); }
double two_digits(double value) { return to_digits(value, 2); }

double mean_width_on_spot(const TrueWheels& wheels) {
  double sum = 0.0;
  for (const auto& [floor, width] : wheels.track_width_m) sum += width_on_spot_m(wheels, floor);
  return sum / static_cast<double>(wheels.track_width_m.size());
}

DriveConstants stated_drive(const Plan& plan, const TrueWheels& wheels, std::uint64_t seed) {
  const Defects& d = plan.defects;
  const auto error = [seed](const Knob& knob, std::string_view stream) {
    Random random(seed, stream);
    return 1.0 + knob.draw(random);
  };
  DriveConstants drive;
  drive.left_m_per_tick =
      six_digits(plan.robot.left_m_per_tick * error(d.left_m_per_tick_error_rel, "left_m_per_tick_error_rel"));
  drive.right_m_per_tick =
      six_digits(plan.robot.right_m_per_tick * error(d.right_m_per_tick_error_rel, "right_m_per_tick_error_rel"));
  drive.track_width_m =
      six_digits(mean_width_on_spot(wheels) * error(d.track_width_error_rel, "track_width_error_rel"));
  drive.counter_bits = plan.robot.counter_bits;
  if (plan.uncertainties_stated) {
    drive.left_sd_m_per_tick = two_digits(std::abs(drive.left_m_per_tick) * d.left_m_per_tick_error_rel.sd());
    drive.right_sd_m_per_tick = two_digits(std::abs(drive.right_m_per_tick) * d.right_m_per_tick_error_rel.sd());
    drive.track_width_sd_m = two_digits(drive.track_width_m * d.track_width_error_rel.sd());
  }
  return drive;
}

// The plan as robot.yaml knows it.
Plan as_told(const Plan& plan) {
  Plan told = plan;
  for (const std::string& name : plan.not_told) {
    Knob Defects::*const knob = knob_entry(name).member;
    told.defects.*knob = Defects().*knob;
  }
  return told;
}

// What a careful owner would write: the slip of a quarter turn, and of a curvy way.
MotionNoise stated_noise(const Plan& plan, std::uint64_t seed) {
  const Defects& d = plan.defects;
  const double floors = floor_names(plan).size() > 1 ? 0.5 * d.surface_track_width_spread_rel.mean() : 0.0;
  const double steady_variance = d.slip_steady_rel.sd() * d.slip_steady_rel.sd() / 2.0;
  const double random_variance = d.slip_random_rel.mean() * d.slip_random_rel.mean() / 2.0;
  const double turn_rel = std::sqrt(floors * floors + steady_variance + random_variance);
  const double way =
      0.3 * d.slip_random_rel.mean() * std::sqrt(2.0 * d.slip_correlation_s.mean() * plan.robot.speed_m_s);
  // Errors that come anew after each metre or 45 degrees.
  const double turn_error_rad = d.odometry_turn_error_deg.mean() * kDegree_rad / std::sqrt(kPi / 4.0);
  const double sd_rad = std::hypot(turn_rel * std::sqrt(kPi / 2.0), turn_error_rad);
  const double sd_m = std::hypot(way, d.odometry_way_error_rel.mean());
  const double factor = d.stated_slip_factor.draw(seed, "stated_slip_factor");
  MotionNoise noise;
  noise.sd_rad_per_sqrt_rad = std::max(0.002, std::round(sd_rad * 1000.0) / 1000.0);
  noise.sd_m_per_sqrt_m = std::max(0.001, std::round(sd_m * 1000.0) / 1000.0);
  if (factor != 1.0) {
    noise.sd_rad_per_sqrt_rad = two_digits(factor * noise.sd_rad_per_sqrt_rad);
    noise.sd_m_per_sqrt_m = two_digits(factor * noise.sd_m_per_sqrt_m);
  }
  return noise;
}

LidarConstants stated_lidar(const Plan& plan, std::uint64_t seed) {
  const LidarSpec& spec = plan.robot.lidar;
  LidarConstants lidar;
  lidar.x_m = spec.x_m;
  lidar.y_m = spec.y_m;
  lidar.heading_deg = spec.heading_deg;
  lidar.mirrored = spec.mirrored;
  if (spec.all_at_once) {
    lidar.sweep_s = 0.0;
  } else if (spec.sweep_stated) {
    lidar.sweep_s = six_digits(1.0 / spec.turns_per_s);
  }
  lidar.min_range_m = spec.min_range_m;
  lidar.max_range_m = spec.max_range_m;
  const Defects& d = plan.defects;
  lidar.noise_m = std::max(0.001, d.range_noise_m.mean());
  const double step_m = d.range_rounding_m.mean();
  if (step_m > 0.0) lidar.noise_m = two_digits(std::hypot(lidar.noise_m, step_m / std::sqrt(12.0)));
  // The straight line that meets the true growth at half the greatest range.
  lidar.noise_per_m =
      two_digits(d.range_noise_growth_per_m.mean() * spec.max_range_m / 2.0 + d.range_noise_per_m.mean());
  const double factor = d.stated_range_noise_factor.draw(seed, "stated_range_noise_factor");
  if (factor != 1.0) {
    lidar.noise_m = two_digits(factor * lidar.noise_m);
    lidar.noise_per_m = two_digits(factor * lidar.noise_per_m);
  }
  lidar.range_unit_m = spec.range_unit_m;
  if (spec.blind_from_deg != spec.blind_to_deg) lidar.blind_deg = {{spec.blind_from_deg, spec.blind_to_deg}};
  return lidar;
}

std::vector<TimedPose> sampled(const Motion& motion, double rate_hz) {
  std::vector<TimedPose> poses;
  for (int i = 0; i / rate_hz <= motion.duration_s(); ++i) {
    const MotionState state = motion.at(i / rate_hz);
    poses.push_back({i / rate_hz, {state.position.x_m, state.position.y_m, state.heading_rad}});
  }
  return poses;
}

}  // namespace

Robot stated_robot(const Plan& plan, const TrueWheels& wheels, std::uint64_t seed) {
  Robot robot;
  robot.drive = stated_drive(plan, wheels, seed);
  const Plan told = as_told(plan);
  robot.motion_noise = stated_noise(told, seed);
  robot.lidar = stated_lidar(told, seed);
  robot.gyro.sd_rad_s = std::max(1e-4, plan.defects.gyro_noise_rad_s.mean());
  return robot;
}

SimulatedDrive simulate(const Plan& plan, std::uint64_t seed) {
  SimulatedDrive drive;
  Truth& truth = drive.truth;
  if (plan.robot.lidar.all_at_once && plan.robot.lidar_log == LidarLog::returns) {
    throw InputError("A lidar whose beams all come at once cannot log single returns; let it log scans.");
  }
  const Motion motion = drive_route(plan, seed);
  truth.surfaces = surfaces_of(house_at(plan, 0.0));
  if (truth.surfaces.faces == 0)
    throw InputError("The plan has neither walls nor furniture, so there is nothing to see.");
  truth.wheels = draw_wheels(plan, seed);
  truth.left_m_per_tick = plan.robot.left_m_per_tick;
  truth.right_m_per_tick = plan.robot.right_m_per_tick;
  truth.track_width_m = mean_width_on_spot(truth.wheels);
  truth.track_width_as_driven_m = width_as_driven_m(plan, truth.wheels, motion);
  truth.lidar = draw_lidar(plan, truth.surfaces.faces, seed);
  truth.trajectory = sampled(motion, plan.robot.truth_rate_hz);

  drive.robot = stated_robot(plan, truth.wheels, seed);

  drive.wheels = count_ticks(plan, truth.wheels, motion, seed);
  if (plan.robot.motion_log == MotionLog::odometry) {
    drive.odometry = integrate_on_board(drive.wheels, *drive.robot.drive, seed);
    drive.wheels.clear();
    drive.robot.drive.reset();
  }
  if (HeldRows held(plan.defects, seed); held.any()) {
    held.hold(drive.wheels);
    held.hold(drive.odometry);
  }
  truth.gyro = draw_gyro(plan, seed);
  if (plan.robot.gyro) drive.gyro = sample_gyro(plan, truth.gyro, motion, seed);

  const HouseInTime house(plan);
  if (!plan.markers.empty()) {
    drive.markers = see_markers(plan, house, motion, seed);
    drive.marker_map = survey_markers(plan, seed);
  }
  if (!plan.lines.empty()) {
    drive.followed = follow_lines(plan, motion, seed);
    if (!drive.followed.empty()) drive.line_map = measure_lines(plan, seed);
  }
  const People people(plan, motion);
  Lidar lidar(plan, truth.lidar, house, motion, people, seed);
  if (plan.robot.lidar_log == LidarLog::scans) {
    drive.beams_deg = beam_angles_deg(plan.robot.lidar);
    drive.scans = lidar.scans();
  } else {
    drive.returns = lidar.returns();
  }
  return drive;
}

}  // namespace wainscot::simulator
