#include "apps/simulator/lidar_revolutions.hpp"

#include <cmath>

namespace wainscot::simulator {

namespace {

// Lost scans are never logged, so the next one is due at once.
std::vector<LidarRevolution> thinned(const std::vector<LidarRevolution>& all, const LidarSpec& spec,
                                     const Motion& motion) {
  if (spec.scan_every_m <= 0.0 && spec.scan_every_deg <= 0.0) return all;
  std::vector<LidarRevolution> kept;
  double way = 0.0;
  MotionState before = motion.at(0.0);
  double heading = before.heading_rad;
  for (const LidarRevolution& revolution : all) {
    const MotionState state = motion.at(revolution.start_s);
    way += norm(state.position - before.position);
    before = state;
    const bool moved = spec.scan_every_m > 0.0 && way >= spec.scan_every_m;
    const bool turned =
        spec.scan_every_deg > 0.0 && std::abs(state.heading_rad - heading) >= spec.scan_every_deg * kDegree_rad;
    if (revolution.lost || !(kept.empty() || moved || turned)) continue;
    kept.push_back(revolution);
    way = 0.0;
    heading = state.heading_rad;
  }
  return kept;
}

}  // namespace

std::vector<LidarRevolution> lidar_revolutions(const Plan& plan, const TrueLidar& lidar, const Motion& motion,
                                               std::uint64_t seed) {
  const double wander = plan.defects.motor_speed_wander_rel.draw(seed, "motor_speed_wander_rel");
  const double jitter = plan.defects.stamp_jitter_s.draw(seed, "stamp_jitter_s");
  const double lost_rate = plan.defects.lost_revolution_rate.draw(seed, "lost_revolution_rate");
  Random random(seed, "revolutions");
  std::vector<LidarRevolution> all;
  double start = 0.1 + random.uniform() * lidar.turn_s;
  for (;;) {
    const double turn = lidar.turn_s * (1.0 + wander * random.normal());
    if (start + turn > motion.duration_s() - 0.1) return thinned(all, plan.robot.lidar, motion);
    const double late = lidar.stamp_delay_s + jitter * (random.uniform() - 0.5);
    all.push_back({start, turn, late, random.chance(lost_rate)});
    start += turn;
  }
}

}  // namespace wainscot::simulator
