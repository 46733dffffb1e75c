#include "graph/calibrate/imagined_run.hpp"

#include <cmath>
#include <cstdint>

namespace wainscot {

CalibrationRun imagined_run(const std::vector<double>& ways_m, double turn_rad, const WheelGeometry& geometry) {
  // Sideways noise of a heading that wanders over a straight is right to (1 / 10)^2, a per cent.
  constexpr int kPieces = 10;
  CalibrationRun run;
  run.whole_path = true;
  double l = 0.0;
  double r = 0.0;
  run.wheels.push_back({});
  const auto roll = [&](double left_m, double right_m) {
    for (int i = 0; i < kPieces; ++i) {
      l += left_m / kPieces;
      r += right_m / kPieces;
      run.wheels.push_back({0.0, static_cast<std::int64_t>(std::llround(l / geometry.left_m_per_tick)),
                            static_cast<std::int64_t>(std::llround(r / geometry.right_m_per_tick))});
    }
  };
  for (const double way : ways_m) {
    if (way != 0.0) roll(way, way);
    const double around = 0.5 * turn_rad * geometry.track_width_m;
    if (turn_rad != 0.0) roll(-around, around);
  }
  run.forward_m = run.left_m = run.turn_rad = 0.0;
  return run;
}

}  // namespace wainscot
