#pragma once

// A recorded drive, told to what lives on a robot as the robot would tell it.

#include <algorithm>
#include <cstddef>
#include <utility>
#include <vector>

#include "core/drive.hpp"

namespace wainscot {

/// When the last beam was fired.
inline double end_s(const Scan& scan) { return scan.time_s + static_cast<double>(scan.returns.back().time_offset_s); }

/// Each reading when it was made, a scan once its last beam was fired, `asked` after each. Before the counts of
/// `Drive::breaks` a break is told. `readings`: a RecentDrive, or what has its functions.
template <typename Readings, typename Asked>
void feed(const Drive& drive, Readings& readings, const Asked& asked) {
  std::size_t scan = 0;
  for (std::size_t i = 0; i < drive.wheels.size(); ++i) {
    if (std::find(drive.breaks.begin(), drive.breaks.end(), i) != drive.breaks.end()) readings.add_break();
    readings.add_counts(drive.wheels[i]);
    for (; scan < drive.scans.size() && end_s(drive.scans[scan]) <= drive.wheels[i].time_s; ++scan) {
      readings.add_scan(drive.scans[scan]);
    }
    asked();
  }
}

/// All that `live`.take() gives meanwhile.
template <typename Live, typename Readings>
auto taken_while_fed(const Drive& drive, Live& live, Readings& readings) {
  decltype(live.take()) all;
  feed(drive, readings, [&] {
    for (auto& one : live.take()) all.push_back(std::move(one));
  });
  return all;
}

}  // namespace wainscot
