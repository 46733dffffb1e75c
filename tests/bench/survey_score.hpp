#pragma once

// What the benches of surveyed markers and of measured lines count alike. All figures are simulated.

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "core/drive.hpp"
#include "graph/map.hpp"

namespace wainscot::bench {

/// Root mean square of the error of the path without any alignment, in the frame of the house.
double without_alignment_m(const Map& map, const std::vector<TimedPose>& truth);

struct Spread {
  double median = 0.0;
  double worst = 0.0;
};

/// Of absolute values.
template <typename Case, typename Value>
Spread spread_of(const std::vector<Case>& cases, Value value) {
  std::vector<double> values;
  for (const Case& c : cases) values.push_back(std::abs(value(c)));
  std::sort(values.begin(), values.end());
  return values.empty() ? Spread{} : Spread{values[(values.size() - 1) / 2], values.back()};
}

/// Of those cases that have a value, in stated standard uncertainties: how many lie within 95 %.
template <typename Case, typename Sds>
std::string held_text(const std::vector<Case>& cases, Sds sds) {
  constexpr double kGate = 1.96;
  int held = 0;
  int all = 0;
  for (const Case& c : cases) {
    const std::optional<double> value = sds(c);
    if (!value) continue;
    ++all;
    held += std::abs(*value) <= kGate ? 1 : 0;
  }
  return all == 0 ? "-" : fmt::format("{}/{}", held, all);
}

}  // namespace wainscot::bench
