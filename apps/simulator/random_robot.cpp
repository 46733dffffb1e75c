#include "apps/simulator/random_robot.hpp"

#include <cmath>
#include <cstddef>
#include <vector>

namespace wainscot::simulator {

namespace {

LidarSpec random_lidar(double robot_radius_m, Random& random) {
  LidarSpec lidar;
  const int kind = random.below(4);  // one in four has a field of 240 degrees
  lidar.beams = std::vector<int>{360, 450, 720, 480}[static_cast<std::size_t>(kind)];
  if (kind == 3) {
    lidar.field_deg = 240.0;
    lidar.first_beam_deg = -120.0;
  } else if (random.chance(0.3)) {
    lidar.first_beam_deg = -180.0;
  }
  if (random.chance(0.35)) {
    lidar.clockwise = true;
    lidar.first_beam_deg = kind == 3 ? 120.0 : 180.0;
  }
  lidar.mirrored = random.chance(0.1);
  lidar.turns_per_s = rounded(random.uniform(5.0, 12.0), 0.5);
  lidar.max_range_m = rounded(random.uniform(6.0, 12.0), 0.5);
  lidar.min_range_m = random.chance(0.5) ? 0.12 : 0.15;
  lidar.x_m = rounded(random.uniform(-0.3, 0.5) * robot_radius_m, 0.001);
  lidar.y_m = random.chance(0.7) ? 0.0 : rounded(random.uniform(-0.03, 0.03), 0.001);
  // A narrow field has to look ahead; the others are screwed on as the cable likes it.
  if (kind != 3)
    lidar.heading_deg = std::vector<double>{0.0, 0.0, 0.0, 180.0, 90.0}[static_cast<std::size_t>(random.below(5))];
  lidar.height_m = rounded(random.uniform(0.12, 0.25), 0.01);
  lidar.sweep_stated = random.chance(0.5);
  if (random.chance(0.12)) lidar.range_unit_m = 0.001;
  if (kind != 3 && random.chance(0.12)) {
    lidar.blind_from_deg = 170.0;
    lidar.blind_to_deg = -175.0;
  }
  return lidar;
}

}  // namespace

RobotSpec random_robot(Random& random) {
  RobotSpec robot;
  robot.track_width_m = rounded(random.uniform(0.2, 0.4), 0.001);
  robot.radius_m = rounded(robot.track_width_m / 2.0 + random.uniform(0.03, 0.05), 0.005);
  const double tick = std::exp(random.uniform(std::log(5e-5), std::log(5e-4)));
  robot.left_m_per_tick = tick * (1.0 + random.uniform(-0.005, 0.005));
  robot.right_m_per_tick = tick * (1.0 + random.uniform(-0.005, 0.005));
  if (random.chance(0.1)) robot.left_m_per_tick = -robot.left_m_per_tick;
  if (random.chance(0.15)) robot.counter_bits = 16;
  robot.wheel_rate_hz = rounded(random.uniform(20.0, 100.0), 5.0);
  robot.speed_m_s = rounded(random.uniform(0.2, 0.5), 0.01);
  robot.acceleration_m_s2 = rounded(random.uniform(0.3, 0.8), 0.05);
  robot.turn_rate_rad_s = rounded(random.uniform(0.8, 1.6), 0.05);
  robot.gyro = random.chance(0.25);
  robot.gyro_rate_hz = random.chance(0.5) ? 100.0 : 50.0;
  robot.lidar = random_lidar(robot.radius_m, random);
  if (random.chance(0.08)) robot.motion_log = MotionLog::odometry;
  if (random.chance(0.12)) robot.lidar_log = LidarLog::returns;
  return robot;
}

Plan plan_without_house(const char* name, Random& random) {
  Plan plan;
  plan.name = name;
  plan.robot = random_robot(random);
  plan.defects = calibrated(plan.defects);
  plan.uncertainties_stated = true;
  return plan;
}

}  // namespace wainscot::simulator
