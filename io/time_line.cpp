#include "io/time_line.hpp"

#include <cstddef>

namespace wainscot {

std::vector<double> time_shifts_s(const std::vector<TrajectoryRow>& trajectory) {
  constexpr double gap_s = 1.0;
  std::vector<double> shifts_s(1, 0.0);
  double end_s = 0.0;
  for (const TrajectoryRow& row : trajectory) {
    while (shifts_s.size() < static_cast<std::size_t>(row.drive)) shifts_s.push_back(end_s + gap_s - row.time_s);
    end_s = row.time_s + shifts_s.back();
  }
  return shifts_s;
}

Map on_one_time_line(Map map) {
  const std::vector<double> shifts_s = time_shifts_s(map.trajectory);
  const auto shift = [&shifts_s](int drive) { return shifts_s.at(static_cast<std::size_t>(drive) - 1); };
  for (TrajectoryRow& row : map.trajectory) row.time_s += shift(row.drive);
  for (Node& node : map.graph.nodes) node.time_s += shift(node.drive);
  return map;
}

}  // namespace wainscot
