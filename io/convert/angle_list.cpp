#include "io/convert/angle_list.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace wainscot {
namespace {

using Rows = std::vector<std::vector<double>>;

bool are_as_long(const Rows& a, const Rows& b) {
  constexpr std::size_t kDamagedOneIn = 100;
  std::size_t other = 0;
  for (std::size_t i = 0; i < a.size(); ++i) other += a[i].size() == b[i].size() ? 0 : 1;
  return kDamagedOneIn * other <= a.size();
}

/// What the steps of all rows are like.
struct ListSteps {
  std::size_t up = 0, down = 0;
  double least = 0.0, most = 0.0;  ///< of the values
  bool whole = true;
};

ListSteps steps_of(const Rows& rows) {
  ListSteps steps;
  for (const std::vector<double>& row : rows) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      steps.least = std::min(steps.least, row[i]);
      steps.most = std::max(steps.most, row[i]);
      steps.whole = steps.whole && row[i] == std::floor(row[i]);
      if (i == 0) continue;
      steps.up += row[i] > row[i - 1] ? 1 : 0;
      steps.down += row[i] < row[i - 1] ? 1 : 0;
    }
  }
  return steps;
}

/// Empty: they are no angles.
std::string unit_of(const Rows& rows) {
  constexpr std::size_t kOtherWayOneIn = 20;  // at most: from 360 to 0 degrees, and where beams tremble
  constexpr double kTurnAndABit_deg = 363.0, kTurnAndABit_rad = 6.6;
  constexpr double kNarrow_rad = 0.5;
  const ListSteps steps = steps_of(rows);
  if (kOtherWayOneIn * std::min(steps.up, steps.down) > std::max(steps.up, steps.down)) return {};
  const double span = steps.most - steps.least;
  const double largest = std::max(std::abs(steps.least), steps.most);
  // From 0 on in whole numbers they may be those of the beams, where it is not degrees that go once round.
  const bool once_round = steps.most >= 355.0 && steps.most <= 360.0;
  if (largest > kTurnAndABit_deg || (steps.whole && steps.least >= 0.0 && !once_round)) return {};
  if (largest > kTurnAndABit_rad) return span > kNarrow_rad * 180.0 / std::numbers::pi ? "deg" : "";
  return span > kNarrow_rad ? "rad" : "";
}

}  // namespace

std::optional<AngleList> angle_list_beside(const RecordKind& kind, std::size_t ranges) {
  for (std::size_t a = 0; a < kind.arrays.size(); ++a) {
    const Rows& rows = kind.arrays[a].rows;
    if (a == ranges || rows.empty() || !are_as_long(rows, kind.arrays[ranges].rows)) continue;
    if (std::all_of(rows.begin(), rows.end(), [&rows](const auto& row) { return row == rows.front(); })) continue;
    const std::string unit = unit_of(rows);
    if (!unit.empty()) return AngleList{a, unit};
  }
  return std::nullopt;
}

}  // namespace wainscot
