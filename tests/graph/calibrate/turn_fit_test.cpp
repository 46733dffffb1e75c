#include "graph/calibrate/turn_fit.hpp"

#include <gtest/gtest.h>

#include "tests/graph/imagined_drive.hpp"

namespace wainscot {
namespace {

ImaginedDrive drive_of_turns() {
  ImaginedDrive robot;
  robot.sd_rad = 1e-4;
  robot.go(varied());
  return robot;
}

TEST(TurnFit, FindsTicksOverWidthWhateverTheMounting) {
  const ImaginedDrive robot = drive_of_turns();
  const TurnFit fit = fit_turns(robot.increments.long_steps, TickClock(robot.drive.wheels), robot.offset_s);
  EXPECT_NEAR(fit.by_ticks[0] * robot.width / robot.left, 1.0, 0.002);
  EXPECT_NEAR(fit.by_ticks[1] * robot.width / robot.right, 1.0, 0.002);
  EXPECT_LT(fit.misfit_rad, 5e-4);
}

TEST(TurnFit, ASlipHasNoSay) {
  ImaginedDrive robot = drive_of_turns();
  robot.increments.long_steps[20].motion.heading_rad += 1.5;
  robot.increments.long_steps[50].motion.heading_rad -= 0.7;
  const TurnFit fit = fit_turns(robot.increments.long_steps, TickClock(robot.drive.wheels), robot.offset_s);
  EXPECT_NEAR(fit.by_ticks[1] * robot.width / robot.right, 1.0, 0.003);
}

TEST(TurnFit, TheOffsetIsTheOneWithWhichTurnsFit) {
  const ImaginedDrive robot = drive_of_turns();
  const TickClock ticks(robot.drive.wheels);
  EXPECT_NEAR(find_offset_s(robot.increments.long_steps, ticks, 0.4), robot.offset_s, 0.002);
  EXPECT_EQ(find_offset_s(robot.increments.long_steps, ticks, 0.03), 0.0) << "it lies beyond the search";
}

}  // namespace
}  // namespace wainscot
