#include "graph/motion/sweep_fit.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "tests/graph/simulated_drive.hpp"

namespace wainscot {
namespace {

SweepFit fit_of(const Drive& drive) {
  const TurnScans scans = turn_scans(drive.scans, drive.robot.lidar);
  LidarMotionOptions options;
  options.sweep_s = scans.stated_s;
  return fit_sweep(scans, follow_lidar(scans, drive.robot.lidar, options), drive.robot.lidar, 0);
}

TEST(SweepFit, FindsTheTimeOfATurnWhateverIsStated) {
  const Drive drive = driven(ring_house(1)).drive;
  const double true_s = *drive.robot.lidar.sweep_s;
  const SweepFit right = fit_of(drive);
  EXPECT_GT(right.pairs, 8U);
  EXPECT_NEAR(right.sweep_s, true_s, 0.1 * true_s);

  Drive doubled = drive;
  doubled.robot.lidar.sweep_s = 2.0 * true_s;
  for (Scan& scan : doubled.scans) {
    for (Return& beam : scan.returns) beam.time_offset_s *= 2.0F;
  }
  const SweepFit fit = fit_of(doubled);
  EXPECT_NEAR(fit.sweep_s, true_s, 0.1 * true_s);
  EXPECT_LT(fit.misfit_m, fit.stated_misfit_m);
}

TEST(SweepFit, FindsAFiringOrderThatIsTheOtherWay) {
  Drive drive = driven(ring_house(1)).drive;
  const double true_s = *drive.robot.lidar.sweep_s;
  for (Scan& scan : drive.scans) {
    for (Return& beam : scan.returns) beam.time_offset_s = static_cast<float>(true_s) - beam.time_offset_s;
    std::reverse(scan.returns.begin(), scan.returns.end());
  }
  EXPECT_NEAR(fit_of(drive).sweep_s, -true_s, 0.1 * true_s);
}

TEST(SweepFit, ARobotThatOnlyDrivesStraightDoesNotTell) {
  simulator::Plan plan = ring_house(1);
  plan.route = {{{0.8, 1.1}, 0.0, false}, {{5.8, 1.1}, 0.0, false}};
  plan.defects.hand_wobble_rad_s = simulator::Knob::fixed(0.0);
  EXPECT_EQ(fit_of(driven(plan).drive).pairs, 0U);
}

}  // namespace
}  // namespace wainscot
