#include "io/convert/beam_rows.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "core/median.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kFewestBeamsOfTurn = 16;
constexpr std::size_t kFewestTurns = 4;

/// The least and the largest, but for one in ten thousand: a digit that a serial line changed makes a value far off.
std::pair<double, double> ends_of(std::vector<double> values) {
  const auto beyond = static_cast<std::ptrdiff_t>(values.size() / 10'000);
  std::nth_element(values.begin(), values.begin() + beyond, values.end());
  const double least = values[static_cast<std::size_t>(beyond)];
  std::nth_element(values.begin(), values.end() - 1 - beyond, values.end());
  return {least, *(values.end() - 1 - beyond)};
}

std::optional<BeamAngleColumn> turning(const RecordKind& kind, std::size_t c) {
  const std::vector<double>& values = kind.columns[c].values;
  if (std::any_of(values.begin(), values.end(), [](double v) { return !std::isfinite(v); })) return std::nullopt;
  std::vector<double> steps;
  for (std::size_t i = 1; i < values.size(); ++i) {
    if (values[i] != values[i - 1]) steps.push_back(values[i] - values[i - 1]);
  }
  if (steps.size() < kFewestBeamsOfTurn * kFewestTurns) return std::nullopt;
  const double step = median(steps);
  const auto [least, most] = ends_of(values);
  const double span = most - least;
  BeamAngleColumn found;
  found.column = c;
  found.starts.push_back(0);
  std::size_t odd = 0;
  for (std::size_t i = 1; i < values.size(); ++i) {
    const double s = values[i] - values[i - 1];
    // Back by most of the span: a new turn. Else onwards, over lost beams perhaps, or a little back and forth.
    if (s * step < 0.0 && std::abs(s) > 0.4 * span) {
      found.starts.push_back(i);
    } else if (s * step <= 0.0 || std::abs(s) > 0.9 * span) {
      ++odd;
    }
  }
  const std::size_t turns = found.starts.size();
  if (turns < kFewestTurns || values.size() < kFewestBeamsOfTurn * turns || 20 * odd > values.size()) {
    return std::nullopt;
  }
  const bool whole = std::all_of(values.begin(), values.end(), [](double v) { return v == std::floor(v); });
  const double around = span + std::abs(step);
  found.degrees = around > 6.6;
  found.per_turn = static_cast<std::size_t>(std::lround(around / std::abs(step)));
  // Whole degrees, one by one, are numbers too, of the same meaning where there are 360.
  found.numbered = whole && std::abs(step) == 1.0 && (least == 0.0 || least == 1.0) && around != 360.0;
  found.first_number = least;
  if (!found.numbered && (around > 363.0 || (around > 6.6 && around < 30.0) || around < 0.5)) return std::nullopt;
  return found;
}

}  // namespace

std::vector<BeamAngleColumn> beam_angle_columns(const RecordKind& kind) {
  std::vector<BeamAngleColumn> found;
  for (std::size_t c = 0; c < kind.columns.size(); ++c) {
    if (const auto column = turning(kind, c)) found.push_back(*column);
  }
  return found;
}

}  // namespace wainscot
