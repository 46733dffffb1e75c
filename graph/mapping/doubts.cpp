#include "graph/mapping/doubts.hpp"

namespace wainscot {

bool is_possible(const RefinedConstant& constant) {
  constexpr double kFactor = 2.0;  // nobody states a measure twice or half as large, but in another unit
  const bool is_measure = constant.name == "drive.track_width_m" || constant.name.ends_with("_m_per_tick") ||
                          constant.name == "lidar.range_scale";
  if (!is_measure || constant.stated == 0.0) return true;
  const double ratio = constant.found / constant.stated;
  return ratio > 1.0 / kFactor && ratio < kFactor;
}

}  // namespace wainscot
