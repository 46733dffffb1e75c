#include "io/overview/fleet.hpp"

#include <algorithm>
#include <array>
#include <iterator>
#include <map>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

/// What robot.yaml states of the constants that stay the same; empty where that is nothing.
std::string statement_of(const DriveRow& row) {
  constexpr auto kLasting = std::to_array<std::string_view>(
      {"lidar.x_m", "lidar.y_m", "lidar.heading_deg", "lidar.range_scale", "lidar.range_offset_m"});
  std::vector<std::string> stated;
  for (const RowConstant& constant : row.constants) {
    const bool lasts = constant.name.starts_with("drive.") ||
                       std::find(kLasting.begin(), kLasting.end(), constant.name) != kLasting.end();
    if (lasts) stated.push_back(fmt::format("{}={};", constant.name, constant.stated));
  }
  std::sort(stated.begin(), stated.end());
  return fmt::format("{}", fmt::join(stated, ""));
}

bool tells_of_its_robot(const DriveRow& row) { return row.state == RowState::mapped && row.verdict != "unusable"; }

std::vector<ConstantSeries> series_of(const std::vector<std::size_t>& of_robot, const std::vector<DriveRow>& rows) {
  std::vector<ConstantSeries> all;
  for (const std::size_t i : of_robot) {
    if (!tells_of_its_robot(rows[i])) continue;
    for (const RowConstant& constant : rows[i].constants) {
      if (!constant.observed) continue;
      auto series = std::find_if(all.begin(), all.end(),
                                 [&constant](const ConstantSeries& known) { return known.name == constant.name; });
      if (series == all.end()) {
        if (all.size() == kMostConstants) continue;
        series = all.insert(all.end(), {constant.name, constant.unit, {}, {}, {}});
      }
      series->rows.push_back(i);
      series->values.push_back(constant.found);
    }
  }
  return all;
}

void tell_odd(const ConstantSeries& series, const std::vector<std::size_t>& found, std::vector<OddConstant>& odd) {
  if (found.empty()) return;
  const double middle = common_value(series.values).middle;
  for (const std::size_t i : found) {
    odd.push_back({series.rows[i], series.name, series.unit, series.values[i], middle, series.values.size() - 1});
  }
}

/// `odd`: the indices of odd values, ascending.
OrderedChange lasting_change(const ConstantSeries& series, const std::vector<std::size_t>& odd, double false_alarm) {
  const auto is_odd = [&odd](std::size_t i) { return std::binary_search(odd.begin(), odd.end(), i); };
  std::vector<UncertainValue> values;
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < series.values.size(); ++i) {
    const bool alone = is_odd(i) && (i == 0 || !is_odd(i - 1)) && !is_odd(i + 1);
    if (alone) continue;
    values.push_back(series.values[i]);
    kept.push_back(i);
  }
  OrderedChange change = ordered_change(values, false_alarm);
  if (change.kind == OrderedChange::Kind::step) change.first = kept[change.first];
  return change;
}

/// Changes and odd values, once it is known among how many the false alarms are shared.
void judge(Fleet& fleet) {
  std::size_t values = 0;
  std::size_t series_count = 0;
  for (const FleetRobot& robot : fleet.robots) {
    for (const ConstantSeries& series : robot.series) {
      if (series.values.size() >= kLeastValuesToCompare) values += series.values.size();
      if (series.values.size() >= 2 * kLeastValuesOnASide) ++series_count;
    }
  }
  for (FleetRobot& robot : fleet.robots) {
    for (ConstantSeries& series : robot.series) {
      if (series.values.size() < kLeastValuesToCompare) continue;
      const std::vector<std::size_t> odd = odd_values(series.values, kFalseAlarm / static_cast<double>(values));
      tell_odd(series, odd, fleet.odd);
      if (series_count > 0)
        series.change = lasting_change(series, odd, kFalseAlarm / static_cast<double>(series_count));
    }
  }
  std::stable_sort(fleet.odd.begin(), fleet.odd.end(),
                   [](const OddConstant& a, const OddConstant& b) { return a.row < b.row; });
}

std::string with_unit(const std::string& number, const std::string& unit) {
  return unit.empty() || unit == "1" ? number : number + " " + unit;
}

}  // namespace

Fleet fleet_of(const std::vector<DriveRow>& rows) {
  Fleet fleet;
  std::map<std::string, std::size_t> known;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const std::string statement = statement_of(rows[i]);
    if (statement.empty()) continue;
    const auto robot = known.try_emplace(statement, fleet.robots.size()).first;
    if (robot->second == fleet.robots.size()) fleet.robots.emplace_back();
    fleet.robots[robot->second].rows.push_back(i);
  }
  std::stable_sort(fleet.robots.begin(), fleet.robots.end(),
                   [](const FleetRobot& a, const FleetRobot& b) { return a.rows.size() > b.rows.size(); });
  fleet.robot_of.assign(rows.size(), kNoRobot);
  for (std::size_t robot = 0; robot < fleet.robots.size(); ++robot) {
    for (const std::size_t row : fleet.robots[robot].rows) fleet.robot_of[row] = robot;
    fleet.robots[robot].series = series_of(fleet.robots[robot].rows, rows);
  }
  judge(fleet);
  return fleet;
}

std::string odd_sentence(const OddConstant& odd) {
  const UncertainText text = uncertain_text(odd.found.value, odd.found.sd);
  return fmt::format("{} {} (standard uncertainty {}), its {} sisters' {}", odd.name, with_unit(text.value, odd.unit),
                     with_unit(text.sd, odd.unit), whole_text(odd.sister_count),
                     with_unit(uncertain_text(odd.sisters, odd.found.sd).value, odd.unit));
}

std::string change_sentence(const ConstantSeries& series, const std::vector<DriveRow>& rows) {
  const OrderedChange& change = series.change;
  if (change.kind == OrderedChange::Kind::none) return {};
  const UncertainText by = uncertain_text(change.after - change.before, change.sd);
  const std::string how_much = fmt::format("from {} to {}, by {} (standard uncertainty {})",
                                           with_unit(uncertain_text(change.before, change.sd).value, series.unit),
                                           with_unit(uncertain_text(change.after, change.sd).value, series.unit),
                                           with_unit(by.value, series.unit), with_unit(by.sd, series.unit));
  if (change.kind == OrderedChange::Kind::drift) {
    return fmt::format("{} drifts from {} to {}, {}", series.name, rows[series.rows.front()].name,
                       rows[series.rows.back()].name, how_much);
  }
  return fmt::format("{} changes between {} and {}, {}", series.name, rows[series.rows[change.first - 1]].name,
                     rows[series.rows[change.first]].name, how_much);
}

}  // namespace wainscot
