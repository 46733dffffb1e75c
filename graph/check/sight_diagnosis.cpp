#include "graph/check/sight_diagnosis.hpp"

#include <algorithm>
#include <cmath>

#include "core/angles.hpp"
#include "graph/check/log_contents.hpp"

namespace wainscot {
namespace {

double unsure_steps(const LidarMotion& motion) {
  return static_cast<double>(
      std::count_if(motion.steps.begin(), motion.steps.end(), [](const LidarStride& step) { return !step.sure; }));
}

void judge_views(std::size_t logged, double way_between_m, const TurnScans& scans, const LidarMotion& motion,
                 Diagnosis& diagnosis) {
  if (!sees_too_little(logged, scans, motion)) return;
  const auto used = static_cast<double>(scans.scans.size());
  if (are_far_apart(way_between_m) && used > kMostHold * static_cast<double>(logged)) {
    diagnosis.add(Fault::too_little_seen, "scans are too far apart to be followed from one to the next",
                  sentence("%.2f m lie between one and the next (median); %.0f %% of them do not fit the one before or "
                           "show walls in one direction only",
                           way_between_m, 100.0 * unsure_steps(motion) / used),
                  0.99, {},
                  "log a scan every 0.2 m and 10° at least, or all of them; build goes by the wheels in between, so "
                  "what it makes of this drive can be right all the same");
    return;
  }
  diagnosis.add(Fault::too_little_seen, "too little is seen",
                sentence("%.0f %% of the scans hold fewer than 20 returns, %.0f %% of the others do not fit the one "
                         "before or show walls in one direction only",
                         100.0 * (1.0 - used / static_cast<double>(logged)), 100.0 * unsure_steps(motion) / used),
                0.99, {}, "drive nearer to walls, and look at min_range_m, max_range_m and blind_deg in robot.yaml");
}

void judge_speed(const TurnScans& scans, const LidarMotion& motion, double sweep_s, Diagnosis& diagnosis) {
  constexpr double kTooFarRad = 0.52;  // 30 degrees within a sweep: 1 % of it off is 2 cm at 4 m
  constexpr double kShare = 0.01;      // of the scans (chosen by hand): fewer are not worth a word
  const auto used = static_cast<double>(scans.scans.size());
  double fast = 0.0;
  double most = 0.0;
  for (const Tangent2& velocity : motion.velocities) {
    const double smear = std::abs(velocity.z() * sweep_s) * scans.turns;
    fast += smear > kTooFarRad ? 1.0 : 0.0;
    most = std::max(most, smear);
  }
  if (fast <= std::max(5.0, kShare * used)) return;
  diagnosis.add(
      Fault::too_fast, "the robot turns too fast for its lidar",
      sentence("%.0f %% of the scans are smeared over more than 30°, the worst over %.0f°", 100.0 * fast / used,
               kDegreesPerRadian * most),
      0.99, {},
      sentence("turn at %.0f° a second at most", std::floor(0.5 * kDegreesPerRadian * kTooFarRad / scans.turn_s)));
}

}  // namespace

bool sees_too_little(std::size_t logged, const TurnScans& scans, const LidarMotion& motion) {
  constexpr double kFew = 1.0 - kMostHold;  // the rest
  const auto used = static_cast<double>(scans.scans.size());
  return used < kMostHold * static_cast<double>(logged) || unsure_steps(motion) > kFew * used;
}

Diagnosis sight_diagnosis(std::size_t logged, double way_between_m, const TurnScans& scans, const LidarMotion& motion,
                          double sweep_s, const Robot& robot) {
  Diagnosis diagnosis{robot, {}, {}, {}};
  judge_views(logged, way_between_m, scans, motion, diagnosis);
  judge_speed(scans, motion, sweep_s, diagnosis);
  return diagnosis;
}

}  // namespace wainscot
