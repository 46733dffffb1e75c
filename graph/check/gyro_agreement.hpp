#pragma once

#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "graph/motion/clock_fit.hpp"
#include "graph/motion/lidar_motion.hpp"

namespace wainscot {

/// The gyro's turns against the lidar's.
struct GyroAgreement {
  /// What the gyro's turns, by robot.yaml's sign and scale, are to be multiplied by; negative: it turns the other way.
  double factor = 1.0;
  double factor_sd = 0.0;  ///< standard uncertainty
  std::size_t strides = 0;

  bool same_way() const { return factor > 0.0; }
};

/// By regression over the strides, the gyro's bias left free; nullopt: there is no gyro, or it does not tell. `clock`:
/// of the lidar against the gyro's clock, which is the wheels'.
std::optional<GyroAgreement> gyro_agreement(const std::vector<LidarStride>& strides, const Drive& drive,
                                            const ClockFit& clock);

}  // namespace wainscot
