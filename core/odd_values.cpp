#include "core/odd_values.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "core/median.hpp"
#include "core/small_samples.hpp"
#include "core/square.hpp"

namespace wainscot {
namespace {

std::vector<double> values_of(std::span<const UncertainValue> values) {
  std::vector<double> result;
  result.reserve(values.size());
  for (const UncertainValue& value : values) result.push_back(value.value);
  return result;
}

}  // namespace

CommonValue common_value(std::span<const UncertainValue> values) {
  CommonValue common;
  std::vector<double> all = values_of(values);
  common.middle = median(all);
  for (double& value : all) value = std::abs(value - common.middle);
  common.spread = median(std::move(all)) / kMedianOfNormal;
  return common;
}

std::vector<std::size_t> odd_values(std::span<const UncertainValue> values, double false_alarm) {
  if (!(false_alarm > 0.0 && false_alarm < 1.0)) throw std::invalid_argument("a probability lies between 0 and 1");
  // The efficiency of the median absolute deviation for normal values; the source stands in the header.
  constexpr double kEfficiency = 0.3674;
  std::vector<std::size_t> odd;
  if (values.size() < kLeastValuesToCompare) return odd;
  const CommonValue common = common_value(values);
  const auto count = static_cast<double>(values.size());
  const double degrees = kEfficiency * (count - 1.0);
  // The median itself is known to sqrt(pi / 2) times what the mean would be.
  const double spread_variance = square(common.spread) * (1.0 + 0.5 * std::numbers::pi / count);
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double variance = spread_variance + square(values[i].sd);
    const double off = std::abs(values[i].value - common.middle);
    if (!(off > kLeastOddness * std::sqrt(variance))) continue;
    // Beyond a million degrees Student's t is the normal distribution.
    constexpr double kMostDegrees = 1e6;
    const double freedom = spread_variance > 0.0
                               ? std::min(kMostDegrees, degrees * square(variance) / square(spread_variance))
                               : kMostDegrees;
    if (off > student_t_two_sided(1.0 - false_alarm, freedom) * std::sqrt(variance)) odd.push_back(i);
  }
  return odd;
}

}  // namespace wainscot
