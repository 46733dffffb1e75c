#pragma once

// A lidar that stands still, and what its ranges say of one defect.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <vector>

#include <gtest/gtest.h>

#include "apps/simulator/simulate.hpp"
#include "small_house.hpp"

namespace wainscot::simulator {

/// Stands for about a minute near the middle of the empty room, facing along x.
inline Plan standing() {
  Plan plan = empty_room();
  plan.route = {{{2.98, 2.0}}, {{3.0, 2.0}, 60.0, false}};
  return plan;
}

/// The scans of the minute that the robot stands still, motion done.
inline std::vector<ScanRow> still(const SimulatedDrive& drive) {
  std::vector<ScanRow> rows;
  for (const ScanRow& row : drive.scans) {
    if (row.time_s > 4.0) rows.push_back(row);
  }
  return rows;
}

struct Statistics {
  double mean = 0.0;
  double sd = 0.0;
  double missing = 0.0;  ///< fraction
};

inline Statistics statistics(const std::vector<double>& values) {
  Statistics s;
  double n = 0.0;
  for (const double v : values) n += std::isnan(v) ? 0.0 : 1.0;
  s.missing = 1.0 - n / static_cast<double>(values.size());
  for (const double v : values) s.mean += std::isnan(v) ? 0.0 : v / n;
  for (const double v : values) s.sd += std::isnan(v) ? 0.0 : (v - s.mean) * (v - s.mean) / n;
  s.sd = std::sqrt(s.sd);
  return s;
}

/// Ranges of one plan less those of another, beam by beam, where `wanted(range of the first, column)`.
inline std::vector<double> differences(
    const Plan& plan, const Plan& base,
    const std::function<bool(double, std::size_t)>& wanted = [](double, std::size_t) { return true; }) {
  const std::vector<ScanRow> a = still(simulate(plan, 1));
  const std::vector<ScanRow> b = still(simulate(base, 1));
  EXPECT_EQ(a.size(), b.size());
  std::vector<double> all;
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
    for (std::size_t k = 0; k < a[i].range_m.size(); ++k) {
      const double before = static_cast<double>(b[i].range_m[k]);
      if (wanted(before, k)) all.push_back(static_cast<double>(a[i].range_m[k]) - before);
    }
  }
  return all;
}

}  // namespace wainscot::simulator
