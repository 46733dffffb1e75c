#include "io/convert/time_guess.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/median.hpp"
#include "io/convert/column_words.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

struct TimeUnit {
  const char* name;
  double unit_s;
};
constexpr std::array<TimeUnit, 4> kTimeUnits = {{{"s", 1.0}, {"ms", 1e-3}, {"us", 1e-6}, {"ns", 1e-9}}};

constexpr double kHalfWrap = 2147483648.0;  // of a board's clock of 32 bits

/// How a column grows.
struct Growth {
  bool grows = false;
  double step = 0.0;     ///< median of the steps that are not 0
  double regular = 0.0;  ///< share of these steps within half and twice the median
  bool by_ones = false;  ///< each step is 1: a number of rows rather than a time
};

/// A digit that a serial line changed makes a lone value far off; what only grows stays as it is.
void leave_out_lone_values(std::vector<double>& values) {
  if (values.size() < 3) return;
  double before = values[0];
  for (std::size_t i = 1; i + 1 < values.size(); ++i) {
    const double here = values[i];
    values[i] = std::max(std::min(before, here), std::min(std::max(before, here), values[i + 1]));
    before = here;
  }
}

Growth growth_of(std::vector<double> values) {
  Growth growth;
  leave_out_lone_values(values);
  constexpr std::size_t kOddOneIn = 200;    // a damaged line, two programs' lines that changed places
  constexpr std::size_t kMostRestarts = 5;  // of the board; a beam's number begins anew at each turn
  std::vector<double> steps;
  std::size_t odd = 0, backs = 0;
  double forth = 0.0, back = 0.0;
  for (std::size_t i = 1; i < values.size(); ++i) {
    const double step = values[i] - values[i - 1];
    if (step > 0.0) steps.push_back(step);
    odd += step >= 0.0 ? 0 : 1;
    backs += step < 0.0 ? 1 : 0;
    forth += step > 0.0 ? step : 0.0;
    if (step < 0.0 && step > -kHalfWrap) back -= step;
  }
  // A beam's number goes back seldom, but all the way.
  if (back > 0.1 * forth && backs > kMostRestarts) return growth;
  if (steps.size() < 8 || kOddOneIn * odd > values.size()) return growth;
  growth.grows = true;
  growth.step = median(steps);
  const auto usual = std::count_if(steps.begin(), steps.end(),
                                   [&](double s) { return s > 0.5 * growth.step && s < 2.0 * growth.step; });
  growth.regular = static_cast<double>(usual) / static_cast<double>(steps.size());
  growth.by_ones = growth.step == 1.0 && usual == std::ssize(steps);
  return growth;
}

/// Whether a value is a moment between 2005 and 2100 in that unit, seconds since 1970.
bool is_since_1970(double value, double unit_s) { return value * unit_s > 1.1e9 && value * unit_s < 4.1e9; }

struct FittingUnits {
  std::vector<TimeUnit> units;  ///< the likeliest first
  bool since_1970 = false;
};

FittingUnits fitting_units(const SampleColumn& column, double rows_per_unit, double slowest_hz, double fastest_hz,
                           double usual_hz) {
  FittingUnits fitting;
  const double first = column.values.front();
  for (const TimeUnit& unit : kTimeUnits) {
    if (column.is_clock && unit.unit_s != 1.0) break;
    const double hz = rows_per_unit / unit.unit_s;
    if (hz < slowest_hz || hz > fastest_hz) continue;
    if (is_since_1970(first, unit.unit_s)) return {{unit}, true};
    fitting.units.push_back(unit);
  }
  const auto off = [&](const TimeUnit& unit) { return std::abs(std::log(rows_per_unit / unit.unit_s / usual_hz)); };
  std::stable_sort(fitting.units.begin(), fitting.units.end(),
                   [&](const TimeUnit& a, const TimeUnit& b) { return off(a) < off(b); });
  return fitting;
}

}  // namespace

std::vector<TimeGuess> guess_times(const RecordKind& kind, double slowest_hz, double fastest_hz, double usual_hz) {
  std::vector<std::pair<double, TimeGuess>> found;
  for (std::size_t c = 0; c < kind.columns.size(); ++c) {
    const std::vector<double>& values = kind.columns[c].values;
    const Growth growth = growth_of(values);
    if (!growth.grows) continue;
    // Rows with one stamp belong together, so that the mean counts, but not what is missing in a pause.
    std::size_t moments = 1;
    for (std::size_t i = 1; i < values.size(); ++i) moments += values[i] > values[i - 1] ? 1 : 0;
    const double rows_per_unit = static_cast<double>(values.size()) / static_cast<double>(moments) / growth.step;
    const FittingUnits fitting = fitting_units(kind.columns[c], rows_per_unit, slowest_hz, fastest_hz, usual_hz);
    if (fitting.units.empty()) continue;
    TimeGuess guess;
    guess.column = c;
    guess.unit = fitting.units.front().name;
    guess.unit_s = fitting.units.front().unit_s;
    guess.rows_per_s = rows_per_unit / guess.unit_s;
    guess.sure = fitting.units.size() == 1;
    guess.counts_rows = growth.by_ones;
    for (std::size_t i = 1; i < fitting.units.size(); ++i) guess.other_units.emplace_back(fitting.units[i].name);
    guess.why = fmt::format("it grows through the log, by {} a record (median): in {} that is {} records a second{}",
                            short_text(growth.step, 6), guess.unit, short_text(guess.rows_per_s, 1),
                            fitting.since_1970 ? ", counted from 1970" : "");
    const double score = growth.regular + (is_time_word(kind.columns[c].label) ? 0.3 : 0.0) +
                         (fitting.since_1970 ? 0.2 : 0.0) - (growth.by_ones ? 0.5 : 0.0);
    found.emplace_back(score, std::move(guess));
  }
  std::stable_sort(found.begin(), found.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  std::vector<TimeGuess> result;
  for (auto& [score, guess] : found) result.push_back(std::move(guess));
  return result;
}

std::vector<double> times_s(const RecordKind& kind, const TimeGuess& time) {
  const double far_back = 1.0 / time.unit_s;  // a second; lines of two programs change places within less
  std::vector<double> result = kind.columns[time.column].values;
  double last = result.front(), wrapped = 0.0;
  for (std::size_t i = 0; i < result.size(); ++i) {
    double& t = result[i];
    if (!std::isfinite(t)) t = last;
    if (t < last - kHalfWrap) {
      wrapped += 2.0 * kHalfWrap;
    } else if (t < last - far_back && i + 1 < result.size() && result[i + 1] < last - far_back) {
      wrapped += last - t;  // begun anew
    }
    last = t;
    t = (t + wrapped) * time.unit_s;
  }
  return result;
}

}  // namespace wainscot
