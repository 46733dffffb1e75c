#pragma once

#include "core/robot.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/check/gyro_agreement.hpp"

namespace wainscot {

/// A gyro whose turns are three times the lidar's and more, or a third and less, is in another unit: none is built so
/// badly. Its sign is for sign_diagnosis to judge.
Diagnosis gyro_diagnosis(const GyroAgreement& agreement, const Robot& robot);

}  // namespace wainscot
