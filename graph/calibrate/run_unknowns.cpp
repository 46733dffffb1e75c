#include "graph/calibrate/run_unknowns.hpp"

namespace wainscot {

WheelGeometry RunUnknowns::geometry(const Eigen::VectorXd& x, int width) const {
  return {stated.left_m_per_tick * x[kLeft], stated.right_m_per_tick * x[kRight], stated.track_width_m * x[width]};
}

Eigen::VectorXd RunUnknowns::unit(int index, double value) const {
  Eigen::VectorXd all = Eigen::VectorXd::Zero(count());
  all[index] = value;
  return all;
}

RunUnknowns run_unknowns(const CalibrationRuns& runs) {
  RunUnknowns unknowns;
  unknowns.stated = *runs.robot.drive;
  for (const CalibrationRun& run : runs.runs) unknowns.widths.insert({run.surface, 0});
  int next = 2;
  for (auto& [surface, index] : unknowns.widths) index = next++;
  return unknowns;
}

}  // namespace wainscot
