#include "io/convert/range_values.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

struct RangeUnit {
  const char* name;
  double unit_m;
};
constexpr std::array<RangeUnit, 3> kRangeUnits = {{{"m", 1.0}, {"cm", 0.01}, {"mm", 0.001}}};

/// A value at the end of the sorted ones that stands for "nothing answered": it comes over and over, its neighbours
/// hardly ever. Walls spread, a code is one value.
bool is_code(const std::vector<double>& sorted, std::size_t equal, std::size_t near) {
  constexpr double kShare = 0.002;
  const auto all = static_cast<double>(sorted.size());
  return equal >= 20 && static_cast<double>(equal) > kShare * all && equal > 4 * near;
}

/// Takes codes off the far end, then off the near one.
void take_codes(std::vector<double>& sorted, RangeValues& found) {
  constexpr std::size_t kMostCodes = 3;
  constexpr double kBelow = 0.97;
  const std::size_t all = sorted.size();
  std::string parts;
  const auto tell = [&](double value, std::size_t count) {
    found.no_return.push_back(value);
    parts += fmt::format("{}{} of the values are exactly {}", parts.empty() ? "" : ", ",
                         percent_text(static_cast<double>(count) / static_cast<double>(all)), short_text(value, 6));
  };
  while (!sorted.empty() && found.no_return.size() < kMostCodes) {
    const double largest = sorted.back();
    const auto first = std::lower_bound(sorted.begin(), sorted.end(), largest);
    const auto equal = static_cast<std::size_t>(sorted.end() - first);
    const auto near = static_cast<std::size_t>(first - std::lower_bound(sorted.begin(), first, kBelow * largest));
    // The largest value may be one number beyond any wall, or the lidar's reach.
    if (!is_code(sorted, equal, near)) break;
    tell(largest, equal);
    sorted.erase(first, sorted.end());
  }
  if (!sorted.empty()) {
    const double least = sorted.front();
    const auto last = std::upper_bound(sorted.begin(), sorted.end(), least);
    const auto equal = static_cast<std::size_t>(last - sorted.begin());
    const auto near = static_cast<std::size_t>(std::upper_bound(last, sorted.end(), 1.5 * least) - last);
    if (is_code(sorted, equal, near)) {
      tell(least, equal);
      sorted.erase(sorted.begin(), last);
    }
  }
  if (!parts.empty()) found.no_return_why = parts + ", and hardly any lie beside";
}

}  // namespace

RangeValues guess_range_values(std::vector<double> values) {
  RangeValues found;
  std::erase_if(values, [](double v) { return !(v > 0.0) || !std::isfinite(v); });
  std::sort(values.begin(), values.end());
  take_codes(values, found);
  if (values.empty()) {
    found.unit = "m";
    return found;
  }
  // In a home the far walls are some metres away: nearest to 5 m by the logarithm, as `check` does.
  constexpr double kFarWallsM = 5.0;
  constexpr double kMost = 0.95;
  const double far = values[static_cast<std::size_t>(kMost * static_cast<double>(values.size() - 1))];
  const auto off = [&](const RangeUnit& unit) { return std::abs(std::log(unit.unit_m * far / kFarWallsM)); };
  const auto best = std::min_element(kRangeUnits.begin(), kRangeUnits.end(),
                                     [&](const RangeUnit& a, const RangeUnit& b) { return off(a) < off(b); });
  found.unit = best->name;
  found.unit_m = best->unit_m;
  // A hall of 20 m and a chamber of 2 m are as likely; between centimetres and millimetres it is a factor of ten only.
  const double factor = std::exp(off(*best));
  found.percent = factor < 2.5 || best->unit_m == 1.0 ? 99 : 85;
  for (const RangeUnit& unit : kRangeUnits) {
    if (&unit != &*best && std::exp(off(unit)) < 6.0) found.other_units.emplace_back(unit.name);
  }
  found.unit_why = fmt::format("95 % of the ranges lie below {}: in {} that is {}", short_text(far, 3), found.unit,
                               length_text(far * found.unit_m));
  return found;
}

}  // namespace wainscot
