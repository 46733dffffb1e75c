#include "graph/calibrate/square_runs.hpp"

#include <array>
#include <cmath>
#include <map>
#include <numbers>

namespace wainscot {
namespace {

constexpr double kQuarter = 0.5 * std::numbers::pi;  // of a turn

struct Shape {
  double way_m = 0.0;
  double turn_rad = 0.0;
  std::array<double, 4> sides_m{};  ///< way by heading, to the nearest quarter turn
};

Shape shape_of(const CalibrationRun& run, const DriveConstants& drive) {
  Shape shape;
  for (std::size_t i = 1; i < run.wheels.size(); ++i) {
    const double left =
        static_cast<double>(run.wheels[i].left_ticks - run.wheels[i - 1].left_ticks) * drive.left_m_per_tick;
    const double right =
        static_cast<double>(run.wheels[i].right_ticks - run.wheels[i - 1].right_ticks) * drive.right_m_per_tick;
    const double way = std::abs(0.5 * (left + right));
    const auto quarter = static_cast<long>(std::lround(shape.turn_rad / kQuarter));
    shape.sides_m[static_cast<std::size_t>(((quarter % 4) + 4) % 4)] += way;
    shape.way_m += way;
    shape.turn_rad += (right - left) / drive.track_width_m;
  }
  return shape;
}

SquareRuns errors_of(const CalibrationRuns& runs, const std::string& surface, const WheelGeometry& constants) {
  SquareRuns squares;
  squares.track_width_m = constants.track_width_m;
  double way_m = 0.0;
  for (const CalibrationRun& run : runs.runs) {
    if (run.surface != surface || !is_square(run, *runs.robot.drive)) continue;
    const Pose2 end = end_of_run(run.wheels, constants);
    const Shape shape = shape_of(run, *runs.robot.drive);
    (shape.turn_rad < 0.0 ? squares.clockwise : squares.counter_clockwise)
        .emplace_back(*run.forward_m - end.x_m, *run.left_m - end.y_m);
    way_m += shape.way_m;
  }
  const std::size_t count = squares.clockwise.size() + squares.counter_clockwise.size();
  if (count > 0) squares.side_m = way_m / (4.0 * static_cast<double>(count));
  return squares;
}

}  // namespace

bool is_square(const CalibrationRun& run, const DriveConstants& drive) {
  constexpr double kShortest_m = 0.5;  // shorter ones end nearer to their start than a tape is read
  // Of the mean side: half way from a square to an oblong of two to three, for which the published formulas do not
  // hold.
  constexpr double kSideVaries = 0.2;
  constexpr double kTurnVaries = 0.7;  // 40 degrees: robot.yaml's width may be a tenth off
  if (!run.whole_path || !run.forward_m || !run.left_m) return false;
  const Shape shape = shape_of(run, drive);
  if (shape.way_m < 4.0 * kShortest_m) return false;
  // The last turn, back to the heading of the start, may be left out.
  const double turned = std::abs(shape.turn_rad);
  if (std::abs(turned - 4.0 * kQuarter) > kTurnVaries && std::abs(turned - 3.0 * kQuarter) > kTurnVaries) return false;
  for (const double side : shape.sides_m) {
    if (std::abs(side / (0.25 * shape.way_m) - 1.0) > kSideVaries) return false;
  }
  return true;
}

std::optional<SquareTest> test_squares(const CalibrationRuns& runs) {
  const DriveConstants& drive = *runs.robot.drive;
  const WheelGeometry stated{drive.left_m_per_tick, drive.right_m_per_tick, drive.track_width_m};
  std::map<std::string, SquareRuns> by_surface;
  for (const CalibrationRun& run : runs.runs) {
    if (by_surface.count(run.surface) == 0) by_surface[run.surface] = errors_of(runs, run.surface, stated);
  }
  std::optional<SquareTest> test;
  for (const auto& [surface, squares] : by_surface) {
    if (squares.clockwise.empty() || squares.counter_clockwise.empty()) continue;
    const auto clockwise = static_cast<int>(squares.clockwise.size());
    const auto counter_clockwise = static_cast<int>(squares.counter_clockwise.size());
    if (test && test->clockwise + test->counter_clockwise >= clockwise + counter_clockwise) continue;
    test = SquareTest{square_path(squares), clockwise, counter_clockwise, squares.side_m, surface, stated};
    test->corrected.left_m_per_tick *= test->found.left_factor;
    test->corrected.right_m_per_tick *= test->found.right_factor;
    test->corrected.track_width_m *= test->found.width_ratio;
  }
  return test;
}

double largest_systematic_m(const CalibrationRuns& runs, const SquareTest& test, const WheelGeometry& constants) {
  return square_path(errors_of(runs, test.surface, constants)).largest_systematic_m;
}

}  // namespace wainscot
