#include "apps/simulator/lidar_tilt.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace wainscot::simulator {

std::vector<Tilt> tilt_on_ridges(const Plan& plan, const Motion& motion, std::uint64_t seed) {
  const auto steps = static_cast<std::size_t>(motion.duration_s() / kTiltStep_s) + 1;
  std::vector<Tilt> tilt(steps);
  const double reach = 0.6 * plan.robot.radius_m;  // from the wheels' axle to what carries the nose, and the tail
  constexpr double kRidgeHalf_m = 0.06;
  Random draws(seed, "threshold_tilt_deg");
  for (const Ridge& ridge : ridges(plan)) {
    bool near = false;
    double pitch = 0.0;
    double roll = 0.0;
    for (std::size_t i = 0; i < steps; ++i) {
      const MotionState state = motion.at(static_cast<double>(i) * kTiltStep_s);
      const bool now_near = distance_m(state.position, ridge.from, ridge.to) < reach + kRidgeHalf_m;
      if (now_near && !near) {
        pitch = plan.defects.threshold_tilt_deg.draw(draws) * kDegree_rad;
        roll = 0.4 * pitch * draws.uniform(-1.0, 1.0);
      }
      near = now_near;
      if (!near) continue;
      const auto lift = [&](double ahead_m) {
        const Point carrier = state.position + ahead_m * direction(state.heading_rad);
        const double d = distance_m(carrier, ridge.from, ridge.to) / kRidgeHalf_m;
        return d < 1.0 ? (1.0 - d * d) * (1.0 - d * d) : 0.0;
      };
      const double up = lift(reach) - lift(-reach);
      tilt[i].pitch_rad += pitch * up;
      tilt[i].roll_rad += roll * std::abs(up);
    }
  }
  return tilt;
}

std::vector<Hold> holds_while_carried(const Motion& motion, std::uint64_t seed) {
  constexpr double kRaised_m = 0.9;
  constexpr double kUp_s = 1.0;
  constexpr double kUnsteady_rad = 5.0 * kDegree_rad;
  if (motion.carried().empty()) return {};
  std::vector<Hold> holds(static_cast<std::size_t>(motion.duration_s() / kTiltStep_s) + 1);
  CorrelatedNoise pitch(Random(seed, "carried_pitch"), 0.5);
  CorrelatedNoise roll(Random(seed, "carried_roll"), 0.5);
  for (const Carried& carried : motion.carried()) {
    for (auto i = static_cast<std::size_t>(carried.from_s / kTiltStep_s); i < holds.size(); ++i) {
      const double time_s = static_cast<double>(i) * kTiltStep_s;
      if (time_s > carried.to_s) break;
      const double part = std::clamp(std::min(time_s - carried.from_s, carried.to_s - time_s) / kUp_s, 0.0, 1.0);
      holds[i].raised_m = kRaised_m * part * part * (3.0 - 2.0 * part);
      holds[i].tilt.pitch_rad = kUnsteady_rad * part * pitch.next(kTiltStep_s);
      holds[i].tilt.roll_rad = kUnsteady_rad * part * roll.next(kTiltStep_s);
    }
  }
  return holds;
}

}  // namespace wainscot::simulator
