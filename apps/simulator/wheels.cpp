#include "apps/simulator/wheels.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "apps/simulator/odometry_errors.hpp"

namespace wainscot::simulator {

namespace {

constexpr double kStraightShare = 0.1;  // of the random slip, when driving straight

std::int64_t wrapped(std::int64_t ticks, int bits) {
  const std::int64_t range = std::int64_t{1} << bits;
  return ((ticks % range) + range) % range;
}

/// Hands out what holds at times that only rise.
class RisingTimes {
 public:
  explicit RisingTimes(const Motion& motion) : motion_(motion) {}
  const WheelsAstray* astray(double time_s) { return find(motion_.astray(), next_astray_, time_s); }
  bool carried(double time_s) { return find(motion_.carried(), next_carried_, time_s) != nullptr; }

 private:
  template <typename T>
  static const T* find(const std::vector<T>& all, std::size_t& next, double time_s) {
    constexpr double kHalf_s = kMotionStep_s / 2.0;  // times are those of motion steps, up to rounding
    while (next < all.size() && all[next].to_s + kHalf_s < time_s) ++next;
    return next < all.size() && all[next].from_s + kHalf_s < time_s ? &all[next] : nullptr;
  }
  const Motion& motion_;
  std::size_t next_astray_ = 0;
  std::size_t next_carried_ = 0;
};

/// One wheel's counter.
class Counter {
 public:
  Counter(double m_per_tick, int bits, Random random, CorrelatedNoise slip)
      : m_per_tick_(m_per_tick), bits_(bits), slip_(slip) {
    ticks_ = random.uniform(0.0, 60000.0);  // the whole part is the first reading, the rest the phase
  }
  void roll(double way_m) { ticks_ += way_m / m_per_tick_; }
  double slip(double step_s) { return slip_.next(step_s); }
  std::int64_t reading() const { return wrapped(static_cast<std::int64_t>(std::floor(ticks_)), bits_); }

 private:
  double m_per_tick_;
  int bits_;
  double ticks_;
  CorrelatedNoise slip_;
};

}  // namespace

TrueWheels draw_wheels(const Plan& plan, std::uint64_t seed) {
  TrueWheels wheels;
  std::vector<std::string> names = floor_names(plan);
  Random order(seed, "floor_order");
  for (std::size_t i = names.size(); i > 1; --i) {
    std::swap(names[i - 1], names[static_cast<std::size_t>(order.below(static_cast<int>(i)))]);
  }
  Random draws(seed, "surface_track_width_spread_rel");
  const double spread = plan.defects.surface_track_width_spread_rel.draw(draws);
  for (std::size_t i = 0; i < names.size(); ++i) {
    const double place = names.size() == 1 ? 0.0 : static_cast<double>(i) / static_cast<double>(names.size() - 1) - 0.5;
    wheels.track_width_m[names[i]] = plan.robot.track_width_m * (1.0 + spread * place);
    Random slip(seed, "slip_steady_rel " + names[i]);
    wheels.left_slip_rel[names[i]] = plan.defects.slip_steady_rel.draw(slip);
    wheels.right_slip_rel[names[i]] = plan.defects.slip_steady_rel.draw(slip);
  }
  return wheels;
}

double width_on_spot_m(const TrueWheels& wheels, const std::string& floor) {
  const double slip = (wheels.left_slip_rel.at(floor) + wheels.right_slip_rel.at(floor)) / 2.0;
  return wheels.track_width_m.at(floor) * (1.0 + slip);
}

double width_as_driven_m(const Plan& plan, const TrueWheels& wheels, const Motion& motion) {
  double turned = 0.0;
  double rolled = 0.0;
  RisingTimes times(motion);
  for (std::size_t i = 0; i < motion.states().size(); i += 5) {
    const MotionState& state = motion.states()[i];
    if (times.carried(static_cast<double>(i) * kMotionStep_s)) continue;
    const double turn = std::abs(state.turn_rate_rad_s);
    const std::string& floor = floor_at(plan, state.position);
    const double on_wheels = wheels.track_width_m.at(floor);
    const double share = turn > 0.0 ? turn * on_wheels / (turn * on_wheels + 2.0 * std::abs(state.speed_m_s)) : 0.0;
    turned += turn;
    rolled += turn * std::lerp(on_wheels, width_on_spot_m(wheels, floor), share);
  }
  return turned > 0.0 ? rolled / turned : plan.robot.track_width_m;
}

std::vector<WheelCounts> count_ticks(const Plan& plan, const TrueWheels& wheels, const Motion& motion,
                                     std::uint64_t seed) {
  const RobotSpec& robot = plan.robot;
  Random draws(seed, "slip_random_rel");
  const double random_rel = plan.defects.slip_random_rel.draw(draws);
  const double correlation_s = plan.defects.slip_correlation_s.draw(draws);
  Counter left(robot.left_m_per_tick, robot.counter_bits, Random(seed, "left_counter"),
               CorrelatedNoise(Random(seed, "left_slip"), correlation_s));
  Counter right(robot.right_m_per_tick, robot.counter_bits, Random(seed, "right_counter"),
                CorrelatedNoise(Random(seed, "right_slip"), correlation_s));
  Random jitter(seed, "wheel_sampling");
  const double period = 1.0 / robot.wheel_rate_hz;
  std::vector<WheelCounts> counts = {{0.0, left.reading(), right.reading()}};
  double next_s = period;
  const std::vector<MotionState>& states = motion.states();
  const std::string* floor = nullptr;
  RisingTimes times(motion);
  OdometryErrors errors(plan.defects, seed);
  for (std::size_t i = 1; i < states.size(); ++i) {
    if (i % 5 == 1) floor = &floor_at(plan, states[i].position);  // every 10 ms: at most 5 mm of way
    const double speed = 0.5 * (states[i - 1].speed_m_s + states[i].speed_m_s);
    const double turn = 0.5 * (states[i - 1].turn_rate_rad_s + states[i].turn_rate_rad_s);
    const double around = turn * wheels.track_width_m.at(*floor) / 2.0;
    const double most = std::abs(speed) + std::abs(around);
    const double share = most > 0.0 ? std::abs(around) / most : 0.0;
    const double random_share = random_rel * (kStraightShare + (1.0 - kStraightShare) * share);
    const double left_slip = wheels.left_slip_rel.at(*floor) * share + random_share * left.slip(kMotionStep_s);
    const double right_slip = wheels.right_slip_rel.at(*floor) * share + random_share * right.slip(kMotionStep_s);
    const double now_s = static_cast<double>(i) * kMotionStep_s;
    if (const WheelsAstray* astray = times.astray(now_s)) {
      left.roll(((speed - around) * (1.0 - astray->left_held) + astray->left_spin_m_s) * kMotionStep_s);
      right.roll(((speed + around) * (1.0 - astray->right_held) + astray->right_spin_m_s) * kMotionStep_s);
    } else if (!times.carried(now_s)) {
      const CountedMotion counted = errors.next(speed, turn, kMotionStep_s);
      const double counted_around = counted.turn_rate_rad_s * wheels.track_width_m.at(*floor) / 2.0;
      left.roll((counted.speed_m_s - counted_around) * (1.0 + left_slip) * kMotionStep_s);
      right.roll((counted.speed_m_s + counted_around) * (1.0 + right_slip) * kMotionStep_s);
    }
    // The counters are read at a motion step, so that reading and stamp belong together exactly.
    if (now_s >= next_s - kMotionStep_s / 2.0) {
      counts.push_back({now_s, left.reading(), right.reading()});
      next_s = (std::floor(now_s / period + 0.5) + 1.0 + jitter.uniform(-0.1, 0.1)) * period;
    }
  }
  if (robot.counters_dead) {
    for (WheelCounts& row : counts) row.left_ticks = row.right_ticks = 0;
  }
  return counts;
}

TrueGyro draw_gyro(const Plan& plan, std::uint64_t seed) {
  Random bias(seed, "gyro_bias_rad_s");
  Random scale(seed, "gyro_scale_error_rel");
  return {plan.defects.gyro_bias_rad_s.draw(bias), 1.0 + plan.defects.gyro_scale_error_rel.draw(scale)};
}

std::vector<YawRate> sample_gyro(const Plan& plan, const TrueGyro& gyro, const Motion& motion, std::uint64_t seed) {
  Random noise(seed, "gyro_noise_rad_s");
  const double sd = plan.defects.gyro_noise_rad_s.draw(noise);
  std::vector<YawRate> samples;
  for (int i = 0; i / plan.robot.gyro_rate_hz <= motion.duration_s(); ++i) {
    const double time_s = i / plan.robot.gyro_rate_hz;
    samples.push_back({time_s, motion.at(time_s).turn_rate_rad_s * gyro.scale + gyro.bias_rad_s + sd * noise.normal()});
  }
  return samples;
}

std::vector<TimedPose> integrate_on_board(const std::vector<WheelCounts>& counts, const DriveConstants& constants,
                                          std::uint64_t seed) {
  Random start(seed, "odometry_start");
  double x = start.uniform(-2.0, 2.0);
  double y = start.uniform(-2.0, 2.0);
  double heading = start.uniform(-kPi, kPi);
  const std::int64_t range = std::int64_t{1} << constants.counter_bits;
  const auto step = [range](std::int64_t before, std::int64_t now) {
    const std::int64_t forward = (((now - before) % range) + range) % range;
    return static_cast<double>(forward < range / 2 ? forward : forward - range);
  };
  std::vector<TimedPose> poses = {{counts[0].time_s, {x, y, heading}}};
  for (std::size_t i = 1; i < counts.size(); ++i) {
    const double left = constants.left_m_per_tick * step(counts[i - 1].left_ticks, counts[i].left_ticks);
    const double right = constants.right_m_per_tick * step(counts[i - 1].right_ticks, counts[i].right_ticks);
    const double turn = (right - left) / constants.track_width_m;
    const double way = (left + right) / 2.0;
    // Half the turn before and half after the way, as small firmware does.
    x += way * std::cos(heading + turn / 2.0);
    y += way * std::sin(heading + turn / 2.0);
    heading += turn;
    poses.push_back({counts[i].time_s, {x, y, nearest_angle(heading)}});
  }
  return poses;
}

}  // namespace wainscot::simulator
