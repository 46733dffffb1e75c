#include "core/ordered_change.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "core/median.hpp"
#include "core/small_samples.hpp"
#include "core/square.hpp"

namespace wainscot {
namespace {

/// Sums over a stretch of measurements, from which every fit follows. Values are taken from their common middle, places
/// from the middle one, so that no digits are lost.
struct Sums {
  double w = 0.0;
  double wx = 0.0;
  double wy = 0.0;
  double wxx = 0.0;
  double wxy = 0.0;
  double wyy = 0.0;

  void add(double weight, double x, double y) {
    w += weight;
    wx += weight * x;
    wy += weight * y;
    wxx += weight * x * x;
    wxy += weight * x * y;
    wyy += weight * y * y;
  }
  double mean() const { return wy / w; }
  /// What the mean leaves, weighted squares.
  double scatter() const { return std::max(0.0, wyy - wy * wy / w); }
};

Sums difference(const Sums& all, const Sums& part) {
  return {all.w - part.w,     all.wx - part.wx,   all.wy - part.wy,
          all.wxx - part.wxx, all.wxy - part.wxy, all.wyy - part.wyy};
}

struct Model {
  OrderedChange change;
  double surprise = 0.0;  ///< standard uncertainties that the change is away from none
  double left = 0.0;      ///< weighted squares of the residuals
};

/// The scatter from one measurement to the next, which neither a step nor a steady drift makes larger: by the median of
/// the successive differences' distances from their own median (after J. von Neumann, "Distribution of the ratio of the
/// mean square successive difference to the variance", Annals of Mathematical Statistics 12, 1941; from memory).
double successive_spread(std::span<const UncertainValue> values) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < values.size(); ++i) steps.push_back(values[i].value - values[i - 1].value);
  const double steady = median(steps);
  for (double& step : steps) step = std::abs(step - steady);
  return median(std::move(steps)) / (kMedianOfNormal * std::numbers::sqrt2);
}

/// Birge's ratio, squared.
double growth(double left, std::size_t count) { return std::max(1.0, left / static_cast<double>(count - 2)); }

Model line_through(const Sums& all, std::size_t count, double first_x, double last_x) {
  const double spread = all.wxx - all.wx * all.wx / all.w;
  const double shared = all.wxy - all.wx * all.wy / all.w;
  const double slope = shared / spread;
  Model model;
  model.left = std::max(0.0, all.scatter() - slope * shared);
  const double at_zero = (all.wy - slope * all.wx) / all.w;
  const double sd = std::sqrt(growth(model.left, count) / spread);
  model.surprise = std::abs(slope) / sd;
  model.change = {OrderedChange::Kind::drift, at_zero + slope * first_x, at_zero + slope * last_x,
                  sd * (last_x - first_x), 0};
  return model;
}

Model two_levels(const Sums& before, const Sums& after, std::size_t first, std::size_t count) {
  Model model;
  model.left = before.scatter() + after.scatter();
  const double sd = std::sqrt(growth(model.left, count) * (1.0 / before.w + 1.0 / after.w));
  model.surprise = std::abs(after.mean() - before.mean()) / sd;
  model.change = {OrderedChange::Kind::step, before.mean(), after.mean(), sd, first};
  return model;
}

}  // namespace

OrderedChange ordered_change(std::span<const UncertainValue> values, double false_alarm) {
  if (!(false_alarm > 0.0 && false_alarm < 1.0)) throw std::invalid_argument("a probability lies between 0 and 1");
  const std::size_t count = values.size();
  if (count < 2 * kLeastValuesOnASide) return {};
  const double middle = common_value(values).middle;
  const double spread = successive_spread(values);
  const double middle_x = 0.5 * static_cast<double>(count - 1);
  std::vector<Sums> until(count + 1);
  for (std::size_t i = 0; i < count; ++i) {
    until[i + 1] = until[i];
    until[i + 1].add(1.0 / (square(values[i].sd) + square(spread)), static_cast<double>(i) - middle_x,
                     values[i].value - middle);
  }
  const Sums& all = until.back();
  const Model line = line_through(all, count, -middle_x, middle_x);
  Model step;
  for (std::size_t first = kLeastValuesOnASide; first + kLeastValuesOnASide <= count; ++first) {
    const Model tried = two_levels(until[first], difference(all, until[first]), first, count);
    if (tried.surprise > step.surprise) step = tried;
  }
  const auto places = static_cast<double>(count - 2 * kLeastValuesOnASide + 1);
  const auto limit = [&](double share) {  // line and steps have half of the false alarms each
    return student_t_two_sided(1.0 - 0.5 * false_alarm * share, static_cast<double>(count - 2));
  };
  const bool drifts = line.surprise > limit(1.0);
  const bool steps = step.surprise > limit(1.0 / places);
  if (!drifts && !steps) return {};
  OrderedChange change = drifts && (!steps || line.left < step.left) ? line.change : step.change;
  change.before += middle;
  change.after += middle;
  return change;
}

}  // namespace wainscot
