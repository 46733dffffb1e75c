#include "apps/simulator/robot_spec_yaml.hpp"

#include <vector>

#include <fmt/format.h>

namespace wainscot::simulator {

namespace {

const std::vector<NumberKey<RobotSpec>> kRobotNumbers = {
    {"radius_m", &RobotSpec::radius_m, 0.03, 1.0},
    {"track_width_m", &RobotSpec::track_width_m, 0.03, 2.0},
    {"left_m_per_tick", &RobotSpec::left_m_per_tick, -0.1, 0.1},
    {"right_m_per_tick", &RobotSpec::right_m_per_tick, -0.1, 0.1},
    {"wheel_rate_hz", &RobotSpec::wheel_rate_hz, 1.0, 500.0},
    {"speed_m_s", &RobotSpec::speed_m_s, 0.02, 3.0},
    {"acceleration_m_s2", &RobotSpec::acceleration_m_s2, 0.05, 10.0},
    {"turn_rate_rad_s", &RobotSpec::turn_rate_rad_s, 0.1, 10.0},
    {"gyro_rate_hz", &RobotSpec::gyro_rate_hz, 1.0, 500.0},
    {"truth_rate_hz", &RobotSpec::truth_rate_hz, 1.0, 500.0}};

const std::vector<NumberKey<LidarSpec>> kLidarNumbers = {{"field_deg", &LidarSpec::field_deg, 10.0, 360.0},
                                                         {"first_beam_deg", &LidarSpec::first_beam_deg, -360.0, 360.0},
                                                         {"turns_per_s", &LidarSpec::turns_per_s, 0.5, 100.0},
                                                         {"min_range_m", &LidarSpec::min_range_m, 0.0, 10.0},
                                                         {"max_range_m", &LidarSpec::max_range_m, 0.5, 100.0},
                                                         {"x_m", &LidarSpec::x_m, -2.0, 2.0},
                                                         {"y_m", &LidarSpec::y_m, -2.0, 2.0},
                                                         {"heading_deg", &LidarSpec::heading_deg, -360.0, 360.0},
                                                         {"height_m", &LidarSpec::height_m, 0.01, 3.0},
                                                         {"range_step_m", &LidarSpec::range_step_m, 0.0, 0.1},
                                                         {"range_unit_m", &LidarSpec::range_unit_m, 1e-4, 1.0},
                                                         {"blind_from_deg", &LidarSpec::blind_from_deg, -360.0, 360.0},
                                                         {"blind_to_deg", &LidarSpec::blind_to_deg, -360.0, 360.0}};

// Keys that were not there from the beginning are written only where they say something.
const std::vector<NumberKey<LidarSpec>> kThinningNumbers = {{"scan_every_m", &LidarSpec::scan_every_m, 0.0, 1000.0},
                                                            {"scan_every_deg", &LidarSpec::scan_every_deg, 0.0, 360.0}};

LidarSpec read_lidar(const PlanSection& section) {
  LidarSpec lidar;
  section.numbers(kLidarNumbers, lidar);
  section.numbers(kThinningNumbers, lidar);
  lidar.beams = section.whole("beams", lidar.beams, 4, 20000);
  lidar.clockwise = section.flag("clockwise", lidar.clockwise);
  lidar.mirrored = section.flag("mirrored", lidar.mirrored);
  lidar.sweep_stated = section.flag("sweep_stated", lidar.sweep_stated);
  lidar.all_at_once = section.flag("all_at_once", lidar.all_at_once);
  return lidar;
}

}  // namespace

RobotSpec read_robot(const PlanSection& plan) {
  RobotSpec robot;
  if (!plan.has("robot")) return robot;
  const PlanSection section = plan.inner(
      "robot", key_names(kRobotNumbers, {"counter_bits", "counters_dead", "gyro", "motion_log", "lidar_log", "lidar"}));
  section.numbers(kRobotNumbers, robot);
  if (robot.left_m_per_tick == 0.0 || robot.right_m_per_tick == 0.0) {
    section.fail(section.need(robot.left_m_per_tick == 0.0 ? "left_m_per_tick" : "right_m_per_tick"),
                 "a wheel's metres per tick must not be 0");
  }
  robot.counter_bits = section.whole("counter_bits", robot.counter_bits, 16, 32);
  if (robot.counter_bits != 16 && robot.counter_bits != 32) {
    section.fail(section.need("counter_bits"), "counter_bits must be 16 or 32");
  }
  robot.counters_dead = section.flag("counters_dead", robot.counters_dead);
  robot.gyro = section.flag("gyro", robot.gyro);
  robot.motion_log =
      section.choice("motion_log", {"wheels", "odometry"}) == 0 ? MotionLog::wheels : MotionLog::odometry;
  robot.lidar_log = section.choice("lidar_log", {"scans", "returns"}) == 0 ? LidarLog::scans : LidarLog::returns;
  if (section.has("lidar")) {
    robot.lidar =
        read_lidar(section.inner("lidar", key_names(kLidarNumbers, {"beams", "clockwise", "mirrored", "sweep_stated",
                                                                    "all_at_once", "scan_every_m", "scan_every_deg"})));
  }
  if (robot.lidar.all_at_once && robot.lidar_log == LidarLog::returns) {
    section.fail(section.need("lidar_log"), "a lidar whose beams are all_at_once logs scans, not returns");
  }
  return robot;
}

void set_robot_key(RobotSpec& robot, const std::string& key, const std::string& value, const std::string& source) {
  YAML::Node plan = YAML::Load(robot_text(robot));
  const bool of_lidar = key.starts_with("lidar.");
  YAML::Node section = of_lidar ? plan["robot"]["lidar"] : plan["robot"];
  const std::string name = of_lidar ? key.substr(6) : key;
  section.remove(name);
  section[name] = value;  // a node without a place in a file, so that complaints name no line
  robot = read_robot(PlanSection(plan, source, "the plan", {"robot"}));
}

std::string robot_text(const RobotSpec& robot) {
  std::string text = "robot:\n";
  for (const auto& key : kRobotNumbers) text += fmt::format("  {}: {}\n", key.name, robot.*key.member);
  if (robot.counters_dead) text += "  counters_dead: true\n";
  text += fmt::format("  counter_bits: {}\n  gyro: {}\n  motion_log: {}\n  lidar_log: {}\n  lidar:\n",
                      robot.counter_bits, robot.gyro, robot.motion_log == MotionLog::wheels ? "wheels" : "odometry",
                      robot.lidar_log == LidarLog::scans ? "scans" : "returns");
  for (const auto& key : kLidarNumbers) text += fmt::format("    {}: {}\n", key.name, robot.lidar.*key.member);
  for (const auto& key : kThinningNumbers) {
    if (robot.lidar.*key.member > 0.0) text += fmt::format("    {}: {}\n", key.name, robot.lidar.*key.member);
  }
  if (robot.lidar.all_at_once) text += "    all_at_once: true\n";
  return text + fmt::format("    beams: {}\n    clockwise: {}\n    mirrored: {}\n    sweep_stated: {}\n",
                            robot.lidar.beams, robot.lidar.clockwise, robot.lidar.mirrored, robot.lidar.sweep_stated);
}

}  // namespace wainscot::simulator
