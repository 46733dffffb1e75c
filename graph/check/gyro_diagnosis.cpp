#include "graph/check/gyro_diagnosis.hpp"

#include <array>
#include <cmath>
#include <string>
#include <utility>

#include "core/angles.hpp"

namespace wainscot {

Diagnosis gyro_diagnosis(const GyroAgreement& agreement, const Robot& robot) {
  // Units differ by 17 and more: 3 is far from both, and from a gyro that is off by half.
  constexpr double kOtherUnit = 3.0;
  constexpr double kNamed = 1.25;  // turns that were matched badly; a gyro's scale is good to per cents
  // Units of angular rates, by definition.
  constexpr std::array<std::pair<double, const char*>, 4> kUnits = {
      {{kDegree, "degrees a second"},
       {1.0, "radians a second"},
       {1e-3, "thousandths of a radian a second"},
       {1e-3 * kDegree, "thousandths of a degree a second"}}};
  Diagnosis diagnosis{robot, {}, {}, {}};
  const double factor = std::abs(agreement.factor);
  if (std::abs(std::log(factor)) < std::log(kOtherUnit)) return diagnosis;
  double scale = factor * robot.gyro.scale;
  std::string name = "a unit of its own";
  for (const auto& [unit, unit_name] : kUnits) {
    if (std::abs(std::log(scale / unit)) > std::log(kNamed)) continue;
    scale = unit;
    name = unit_name;
    break;
  }
  diagnosis.mended.gyro.scale = scale;
  diagnosis.add(Fault::gyro_unit, "the gyro's rates are in " + name,
                sentence("the lidar turns %.4g times as much as the gyro by robot.yaml (standard uncertainty %.2g, %zu "
                         "strides)",
                         factor, agreement.factor_sd, agreement.strides),
                confidence_of(std::pow(std::log(factor) * factor / std::max(agreement.factor_sd, 1e-12), 2), 1),
                {"gyro.scale"});
  return diagnosis;
}

}  // namespace wainscot
