#include "graph/usable_scans.hpp"

namespace wainscot {

UsableScans usable_scans(const Drive& drive, const std::vector<OdometryStep>& steps) {
  UsableScans usable;
  for (std::size_t i = 0; i < drive.scans.size(); ++i) {
    const Scan& scan = drive.scans[i];
    const double length_s = scan.returns.empty() ? 0.0 : static_cast<double>(scan.returns.back().time_offset_s);
    if (scan.time_s < steps.front().begin_s || scan.time_s + length_s > steps.back().end_s) {
      ++usable.outside_odometry;
    } else if (scan.returns.size() < kFewestUsableReturns) {
      ++usable.without_enough_returns;
    } else {
      usable.scans.push_back(i);
    }
  }
  return usable;
}

}  // namespace wainscot
