#include "graph/check/sweep_diagnosis.hpp"

#include <cmath>
#include <string>

#include "graph/check/explanation.hpp"

namespace wainscot {

SweepDiagnosis sweep_diagnosis(const SweepFit& fit, const TurnScans& scans, const Robot& robot) {
  SweepDiagnosis found{{robot, {}, {}, {}}, {}};
  Diagnosis& diagnosis = found.diagnosis;
  if (fit.pairs == 0) {
    diagnosis.notes.emplace_back(
        "The robot never began or ended a turn where its scans fit one another: the time of a sweep could not be "
        "checked");
    return found;
  }
  constexpr double kMotor = 0.05;  // a hobby lidar's motor is off by so much
  const double sd = std::hypot(fit.sd_s, kMotor * scans.turn_s);
  const double z = (fit.sweep_s - scans.stated_s) / sd;
  // A flat misfit has its least somewhere: the scans themselves must fit surely better there.
  constexpr double kSurely = 5.0;
  if (z * z <= fault_gate(1) || fit.better < kSurely) {
    diagnosis.constants.push_back({"lidar.sweep_s", "s", scans.stated_s, fit.sweep_s, fit.sd_s});
    return found;
  }
  const std::string figure = sentence(
      "scans taken at different turn rates fit one another to %.0f mm with %.3f s, to %.0f mm as stated; "
      "standard uncertainty %.3f s, %zu pairs",
      1e3 * fit.misfit_m, fit.sweep_s, 1e3 * fit.stated_misfit_m, fit.sd_s, fit.pairs);
  if (fit.sweep_s < 0.0) {
    diagnosis.add(Fault::firing_order, "the beams are fired in the opposite order", figure, confidence_of(z * z, 1), {},
                  "list the beams in the order of firing: turn the order of the columns of scans.csv round (their "
                  "headings stay with them); for returns.csv, look at how the rows are stamped");
  } else {
    const bool at_once = fit.sweep_s < 4.0 * fit.sd_s + kMotor * scans.turn_s;
    diagnosis.mended.lidar.sweep_s = at_once ? 0.0 : fit.sweep_s;
    diagnosis.add(Fault::sweep_time, "the time of a turn is not what robot.yaml says", figure, confidence_of(z * z, 1),
                  {"lidar.sweep_s"});
  }
  found.sweep_s = fit.sweep_s;
  return found;
}

}  // namespace wainscot
