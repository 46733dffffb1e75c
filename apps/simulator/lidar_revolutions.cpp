#include "apps/simulator/lidar_revolutions.hpp"

#include <cmath>

namespace wainscot::simulator {

namespace {

/// How far the robot comes before the next scan is logged.
class ScanGaps {
 public:
  ScanGaps(const Plan& plan, std::uint64_t seed)
      : way_(plan.defects.scan_gap_m),
        turn_(plan.defects.scan_gap_deg),
        way_random_(seed, "scan_gap_m"),
        turn_random_(seed, "scan_gap_deg") {
    if (way_.is(0.0) && turn_.is(0.0)) {
      way_ = Knob::fixed(plan.robot.lidar.scan_every_m);
      turn_ = Knob::fixed(plan.robot.lidar.scan_every_deg);
    }
    next();
  }
  bool any() const { return !(way_.is(0.0) && turn_.is(0.0)); }
  double way_m() const { return way_m_; }
  double turn_deg() const { return turn_deg_; }
  void next() {
    way_m_ = way_.draw(way_random_);
    turn_deg_ = turn_.draw(turn_random_);
  }

 private:
  Knob way_;
  Knob turn_;
  Random way_random_;
  Random turn_random_;
  double way_m_ = 0.0;
  double turn_deg_ = 0.0;
};

/// Stretches of a second in which scans wait for a busy computer.
class StampBursts {
 public:
  StampBursts(const Defects& defects, std::uint64_t seed)
      : lateness_(defects.stamp_burst_s), random_(seed, "stamp_bursts_per_minute") {
    per_s_ = defects.stamp_bursts_per_minute.draw(random_) / 60.0;
  }
  /// Beyond the ordinary lateness, of a revolution that takes `turn_s`.
  double late_s(double start_s, double turn_s) {
    if (per_s_ <= 0.0) return 0.0;
    if (start_s >= end_s_ && random_.chance(per_s_ * turn_s)) {
      constexpr double kBurst_s = 1.0;
      end_s_ = start_s + kBurst_s;
      most_s_ = lateness_.draw(random_);
    }
    return start_s < end_s_ ? most_s_ * random_.uniform() : 0.0;
  }

 private:
  Knob lateness_;
  Random random_;
  double per_s_ = 0.0;
  double end_s_ = 0.0;
  double most_s_ = 0.0;
};

// Lost scans are never logged, so the next one is due at once.
std::vector<LidarRevolution> thinned(const std::vector<LidarRevolution>& all, const Plan& plan, const Motion& motion,
                                     std::uint64_t seed) {
  ScanGaps gaps(plan, seed);
  if (!gaps.any()) return all;
  std::vector<LidarRevolution> kept;
  double way = 0.0;
  MotionState before = motion.at(0.0);
  double heading = before.heading_rad;
  for (const LidarRevolution& revolution : all) {
    const MotionState state = motion.at(revolution.start_s);
    way += norm(state.position - before.position);
    before = state;
    const bool moved = gaps.way_m() > 0.0 && way >= gaps.way_m();
    const bool turned = gaps.turn_deg() > 0.0 && std::abs(state.heading_rad - heading) >= gaps.turn_deg() * kDegree_rad;
    if (revolution.lost || !(kept.empty() || moved || turned)) continue;
    kept.push_back(revolution);
    way = 0.0;
    heading = state.heading_rad;
    gaps.next();
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
  StampBursts bursts(plan.defects, seed);
  std::vector<LidarRevolution> all;
  double start = 0.1 + random.uniform() * lidar.turn_s;
  for (;;) {
    const double turn = lidar.turn_s * (1.0 + wander * random.normal());
    if (start + turn > motion.duration_s() - 0.1) return thinned(all, plan, motion, seed);
    const double late = lidar.stamp_delay_s + jitter * (random.uniform() - 0.5) + bursts.late_s(start, turn);
    all.push_back({start, turn, late, random.chance(lost_rate)});
    start += turn;
  }
}

}  // namespace wainscot::simulator
