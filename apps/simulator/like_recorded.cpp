#include "apps/simulator/like_recorded.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace wainscot::simulator {

namespace {

double log_uniform(Random& random, double from, double to) {
  return std::exp(random.uniform(std::log(from), std::log(to)));
}

void draw_lidar_kind(LidarSpec& lidar, double robot_radius_m, Random& random) {
  const LidarSpec ordinary;
  const int kind = random.below(6);
  const bool full_circle = kind == 5;
  // As in recordings: 180, 181 or 361 beams.
  lidar.beams = full_circle ? 3600 : kind < 3 ? 181 : 361;
  lidar.field_deg = full_circle ? 360.0 : 180.0;
  lidar.first_beam_deg = full_circle ? 0.0 : -90.0;
  lidar.max_range_m = random.chance(0.5) ? 50.0 : 80.0;  // as in recordings: 50 m
  lidar.min_range_m = 0.1;
  lidar.x_m = rounded(random.uniform(0.0, 0.5) * robot_radius_m, 0.01);
  lidar.y_m = 0.0;
  lidar.heading_deg = 0.0;
  lidar.clockwise = ordinary.clockwise;
  lidar.mirrored = ordinary.mirrored;
  lidar.range_unit_m = ordinary.range_unit_m;
  lidar.blind_from_deg = lidar.blind_to_deg = 0.0;
}

void draw_ranges(Defects& defects, Random& random) {
  defects.range_noise_m = Knob::fixed(0.01);
  defects.range_noise_growth_per_m = Knob::fixed(0.0);
  defects.range_noise_per_m = Knob::uniform(0.0, 0.01);
  // As in recordings: whole centimetres, and in two of eight drives mostly steps of 5 cm.
  defects.range_rounding_m = Knob::fixed(random.chance(0.25) ? 0.05 : 0.01);
  defects.incidence_bias_m = Knob::uniform(-0.02, 0.02);
  defects.mounting_x_error_m = Knob::uniform(-0.09, 0.09);  // as in recordings: 0.055 m off what is stated
  defects.mounting_y_error_m = Knob::uniform(-0.09, 0.09);
  defects.mounting_heading_error_deg = Knob::uniform(-1.2, 1.2);
}

void draw_times(Defects& defects, Random& random) {
  // As in recordings: medians of 0.4 to 1.0 m, up to 1.9 m; nine in ten turn by less than 30 to 46 degrees, a few by
  // more than 80. That is a scan every 0.4 to 5 s.
  const double gap_m = random.uniform(0.6, 1.6);
  const double gap_deg = random.uniform(30.0, 64.0);
  defects.scan_gap_m = Knob::uniform(rounded(0.8 * gap_m, 0.01), rounded(1.25 * gap_m, 0.01));
  defects.scan_gap_deg = Knob::uniform(rounded(0.8 * gap_deg, 0.1), rounded(1.25 * gap_deg, 0.1));
  defects.stamp_delay_s = Knob::uniform(0.0, 0.1);
  defects.stamp_bursts_per_minute = Knob::fixed(2.0);
  defects.stamp_burst_s = Knob::uniform(0.0, 0.1);
  // As in recordings: five gaps of 1.4 to 5.7 s between the rows of one drive of 20 minutes, none or one in the others.
  defects.odometry_holds_per_minute = Knob::fixed(random.chance(0.25) ? 0.25 : 0.0);
  defects.odometry_hold_s = Knob::uniform(2.0, 4.0);
}

void draw_odometry(Defects& defects, Random& random) {
  // As in recordings, from scan to scan: Student's t of 1.3 to 5 degrees of freedom and a scale of 0.02 to 0.09 of the
  // way; of 0.3 to 1 degree for the heading where the clock is good.
  defects.odometry_way_error_rel = Knob::fixed(rounded(log_uniform(random, 0.02, 0.09), 0.001));
  defects.odometry_turn_error_deg = Knob::fixed(rounded(log_uniform(random, 0.2, 1.0), 0.01));
  defects.odometry_tail_freedom = Knob::fixed(rounded(random.uniform(1.5, 5.0), 0.1));
  defects.odometry_way_lost_rel = Knob::uniform(-0.01, 0.08);  // as in recordings: -0.012 to 0.027
  // As in recordings: a turn of 76 degrees in one of six drives. Here more often, so that most drives have one.
  defects.odometry_slips_per_100m = Knob::fixed(1.0);
  defects.odometry_slip_m = Knob::uniform(-0.7, 0.7);
  defects.odometry_slip_deg = Knob::uniform(-70.0, 70.0);
  // Of these nothing could be measured in recordings.
  defects.slip_speed_squared_rel = Knob::uniform(-0.05, 0.05);
  defects.slip_turn_squared_rel = Knob::uniform(-0.03, 0.03);
}

void draw_misstatements(Defects& defects, Random& random) {
  constexpr double kMisstated = 3.0;
  defects.stated_range_noise_factor = Knob::fixed(rounded(log_uniform(random, 1.0 / kMisstated, kMisstated), 0.01));
  defects.stated_slip_factor = Knob::fixed(rounded(log_uniform(random, 1.0 / kMisstated, kMisstated), 0.01));
}

}  // namespace

void misstate_noise(Defects& defects, std::uint64_t seed) {
  Random random(seed, "misstated");
  draw_misstatements(defects, random);
}

Plan like_recorded(Plan plan, std::uint64_t seed, RecordedLidar lidar) {
  Random random(seed, "like recorded");
  RobotSpec& robot = plan.robot;
  if (lidar == RecordedLidar::drawn) draw_lidar_kind(robot.lidar, robot.radius_m, random);
  robot.lidar.all_at_once = true;  // as in recordings: a scan is a moment
  robot.lidar.turns_per_s = 10.0;
  robot.lidar.scan_every_m = robot.lidar.scan_every_deg = 0.0;
  robot.lidar_log = LidarLog::scans;
  robot.motion_log = MotionLog::odometry;
  robot.wheel_rate_hz = rounded(random.uniform(6.0, 20.0), 0.5);  // as in recordings
  robot.gyro = false;
  draw_ranges(plan.defects, random);
  draw_times(plan.defects, random);
  draw_odometry(plan.defects, random);
  draw_misstatements(plan.defects, random);
  for (const char* name : {"range_noise_m", "range_noise_growth_per_m", "range_noise_per_m", "range_rounding_m",
                           "odometry_way_error_rel", "odometry_turn_error_deg"}) {
    plan.not_told.emplace_back(name);
  }
  if (!plan.people.empty() && plan.people.back().follows_m == 0.0) plan.people.back().cart_m = 0.5;
  return plan;
}

Person mover(const Plan& plan, bool cart, Random& random) {
  Person person;
  const int most = static_cast<int>(plan.route.size());
  const int count = std::min(most, 3 + random.below(4));
  const auto from = static_cast<std::size_t>(random.below(most - count + 1));
  for (std::size_t i = from; i < from + static_cast<std::size_t>(count); ++i) {
    person.waypoints.push_back(plan.route[i].point);
  }
  person.speed_m_s = rounded(random.uniform(0.4, 1.1), 0.05);
  person.start_s = rounded(random.uniform(3.0, 30.0), 1.0);
  person.pause_s = rounded(random.uniform(2.0, 8.0), 1.0);
  if (cart) person.cart_m = rounded(random.uniform(0.4, 0.7), 0.01);
  return person;
}

}  // namespace wainscot::simulator
