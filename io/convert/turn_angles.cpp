#include "io/convert/turn_angles.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "core/angles.hpp"
#include "core/median.hpp"
#include "io/convert/column_words.hpp"
#include "io/convert/wall_angles.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double kCircleRad = 2.0 * std::numbers::pi;

/// What the ranges themselves tell of their angles.
struct SeenTurn {
  std::size_t beams = 0;
  bool closed = false;    ///< the last range lies beside the first
  bool repeated = false;  ///< and is the first again
  double walls_rad = 0.0;
  std::size_t triples = 0;

  /// From range to range, the best that the ranges tell; 0: nothing.
  double step_rad() const {
    if (closed && walls_fit_circle()) return kCircleRad / static_cast<double>(repeated ? beams - 1 : beams);
    return walls_rad;
  }
  bool walls_fit_circle() const {
    return walls_rad == 0.0 || std::abs(walls_rad * static_cast<double>(beams) / kCircleRad - 1.0) < 0.12;
  }
};

SeenTurn seen_turn(const std::vector<std::vector<double>>& turns) {
  SeenTurn seen;
  seen.beams = turns.front().size();
  std::vector<double> neighbours, ends;
  std::size_t same = 0;
  for (const std::vector<double>& ranges : turns) {
    if (ranges.size() != seen.beams) continue;
    for (std::size_t i = 1; i < ranges.size(); ++i) {
      if (ranges[i] > 0.0 && ranges[i - 1] > 0.0) neighbours.push_back(std::abs(ranges[i] / ranges[i - 1] - 1.0));
    }
    if (ranges.front() > 0.0 && ranges.back() > 0.0) ends.push_back(std::abs(ranges.back() / ranges.front() - 1.0));
    same += ranges.front() > 0.0 && ranges.front() == ranges.back() ? 1 : 0;
  }
  // One step on neighbours, or two of them, are much the same; a quarter of the circle on it is another wall.
  constexpr double kMoreThanNeighbours = 4.0;
  seen.closed = ends.size() >= 8 && median(ends) < kMoreThanNeighbours * median(neighbours) + 0.01;
  seen.repeated = ends.size() >= 8 && 10 * same > 9 * ends.size();
  const WallAngle walls = angle_by_walls(turns);
  seen.walls_rad = walls.step_rad;
  seen.triples = walls.triples;
  return seen;
}

bool is_near(double value, double wanted, double relative) {
  return std::abs(value - wanted) < relative * std::abs(wanted);
}

/// A column with the same number in nearly all records.
std::optional<double> constant_of(const SampleColumn& column) {
  const double middle = median(column.values);
  const auto same = std::count_if(column.values.begin(), column.values.end(),
                                  [&](double v) { return std::abs(v - middle) <= 1e-3 * std::abs(middle) + 1e-9; });
  if (!std::isfinite(middle) || 50 * same < 49 * std::ssize(column.values)) return std::nullopt;
  return middle;
}

struct ConstantColumn {
  std::size_t column;
  double value;
};

double in_rad(double value, const std::string& unit) { return unit == "rad" ? value : value * kDegree; }

/// How well a column's step agrees with what is seen; the best one, with its unit.
std::optional<AngleGuess> step_column(const std::vector<ConstantColumn>& columns, double seen_rad) {
  constexpr double kAgrees = 0.06;
  std::optional<AngleGuess> best;
  double best_off = kAgrees;
  for (const ConstantColumn& c : columns) {
    for (const char* unit : {"deg", "rad"}) {
      const double off = std::abs(std::abs(in_rad(c.value, unit)) / seen_rad - 1.0);
      if (off >= best_off) continue;
      best_off = off;
      best = AngleGuess{c.column, c.value, unit};
    }
  }
  return best;
}

/// The column of the first angle: named so, or beside that of the step.
std::optional<AngleGuess> first_column(const RecordKind& kind, const std::vector<ConstantColumn>& columns,
                                       const AngleGuess& step, bool& by_name) {
  const double largest = step.unit == "rad" ? 6.3 : 360.5;
  std::optional<AngleGuess> best;
  int best_score = 0;
  for (const ConstantColumn& c : columns) {
    if (c.column == *step.column || std::abs(c.value) > largest) continue;
    const bool named = is_begin_word(kind.columns[c.column].label);
    const int score = (named ? 4 : 0) + (c.column + 1 == *step.column ? 2 : 0) + (c.column == *step.column + 1 ? 1 : 0);
    if (score <= best_score) continue;
    best_score = score;
    best = AngleGuess{c.column, c.value, step.unit};
    by_name = named;
  }
  return best;
}

void tell_angles(RangeGuess& guess, int percent, const std::string& why, std::vector<std::string> others = {}) {
  const std::string value = fmt::format("first {} {}, then {} {} each", short_text(guess.first.value, 4),
                                        guess.first.unit, short_text(guess.step.value, 5), guess.step.unit);
  guess.items.push_back({"angles of the ranges", value, why, percent, std::move(others)});
}

bool take_columns(const RecordKind& kind, const SeenTurn& seen, RangeGuess& guess) {
  std::vector<ConstantColumn> constants;
  for (std::size_t c = 0; c < kind.columns.size(); ++c) {
    if (const auto value = constant_of(kind.columns[c])) constants.push_back({c, *value});
  }
  const std::optional<AngleGuess> step = step_column(constants, seen.step_rad());
  if (!step) return false;
  bool named = false;
  const std::optional<AngleGuess> first = first_column(kind, constants, *step, named);
  // A 1 may be anything; without a first angle beside it the whole circle tells as much.
  if (!first && std::abs(step->value) == 1.0) return false;
  guess.step = *step;
  guess.first = first ? *first : AngleGuess{std::nullopt, 0.0, step->unit};
  guess.angles_told = first.has_value();
  tell_angles(guess,
              !first  ? 90
              : named ? 98
                      : 95,
              fmt::format("column {} holds {} in each record, and {} such steps make {}, as the ranges do",
                          kind.columns[*step->column].name, short_text(step->value, 6), seen.beams,
                          angle_text(std::abs(step->rad()) * static_cast<double>(seen.beams))));
  return true;
}

/// First and last angle of the turn in two columns, or in headings or an array.
bool take_ends(double first, double step, const char* from, const SeenTurn& seen, RangeGuess& guess) {
  constexpr double kAgrees = 0.06;
  for (const char* unit : {"deg", "rad"}) {
    if (!is_near(std::abs(in_rad(step, unit)), seen.step_rad(), kAgrees)) continue;
    guess.first = {std::nullopt, first, unit};
    guess.step = {std::nullopt, step, unit};
    guess.angles_told = true;
    tell_angles(
        guess, 98,
        fmt::format("{} run from {} by {}, and the walls lie so", from, short_text(first, 4), short_text(step, 5)));
    return true;
  }
  return false;
}

bool take_end_columns(const RecordKind& kind, const SeenTurn& seen, RangeGuess& guess) {
  const auto gaps = static_cast<double>(seen.beams - 1);
  for (std::size_t c = 0; c + 1 < kind.columns.size(); ++c) {
    const auto first = constant_of(kind.columns[c]);
    const auto last = constant_of(kind.columns[c + 1]);
    if (!first || !last || *first == *last) continue;
    const double largest = std::max(std::abs(*first), std::abs(*last));
    if (largest > 361.0) continue;
    // 0 to 360 may mean that the last range is the first again, or just before.
    const bool whole =
        is_near(std::abs(*last - *first), 360.0, 1e-3) || is_near(std::abs(*last - *first), kCircleRad, 1e-3);
    const double step = (*last - *first) / (whole && !seen.repeated ? gaps + 1.0 : gaps);
    const std::string from =
        fmt::format("columns {} and {} hold the turn's ends: angles", kind.columns[c].name, kind.columns[c + 1].name);
    if (take_ends(*first, step, from.c_str(), seen, guess)) return true;
  }
  return false;
}

/// The number at a label's end: "r12", "-90deg", "w_1.5".
std::optional<double> number_in(const std::string& label) {
  const std::size_t begin = label.find_first_of("-+.0123456789");
  if (begin == std::string::npos) return std::nullopt;
  const char* from = label.data() + begin + (label[begin] == '+' ? 1 : 0);
  double value = 0.0;
  if (std::from_chars(from, label.data() + label.size(), value).ec != std::errc()) return std::nullopt;
  return value;
}

/// First value and step of a row of numbers that grow evenly.
std::optional<std::pair<double, double>> even_steps(const std::vector<double>& values) {
  if (values.size() < 3) return std::nullopt;
  const double step = (values.back() - values.front()) / static_cast<double>(values.size() - 1);
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double even = values.front() + step * static_cast<double>(i);
    if (!(std::abs(values[i] - even) < 0.05 * std::abs(step) + 1e-3)) return std::nullopt;
  }
  if (step == 0.0) return std::nullopt;
  return std::pair(values.front(), step);
}

bool take_labels(const std::vector<std::string>& labels, const SeenTurn& seen, RangeGuess& guess) {
  std::vector<double> numbers;
  for (const std::string& label : labels) {
    const auto number = number_in(label);
    if (!number) return false;
    numbers.push_back(*number);
  }
  const auto steps = even_steps(numbers);
  // Mere numbers, 0, 1, 2 ...
  if (steps && steps->second == 1.0 && (steps->first == 0.0 || steps->first == 1.0)) return false;
  return steps && take_ends(steps->first, steps->second, "the headings", seen, guess);
}

bool take_angle_array(const RecordKind& kind, const SeenTurn& seen, RangeGuess& guess) {
  for (std::size_t a = 0; a < kind.arrays.size(); ++a) {
    if (a == guess.array || kind.arrays[a].rows.front().size() != seen.beams) continue;
    const auto steps = even_steps(kind.arrays[a].rows.front());
    if (steps && kind.arrays[a].rows.front() == kind.arrays[a].rows.back() &&
        take_ends(steps->first, steps->second, "the angles beside the ranges", seen, guess)) {
      return true;
    }
  }
  return false;
}

/// The step of an open turn: what a maker would choose, near what makes walls straight.
double likely_step_deg(double walls_deg, std::size_t beams) {
  constexpr double kAgrees = 0.04;
  constexpr std::array kSteps = {1.0, 0.5, 0.25, 1.0 / 3.0, 2.0, 0.36, 0.125, 0.1, 0.2, 1.5, 0.75, 0.4, 0.8, 0.6, 0.3};
  constexpr std::array kFields = {180.0, 270.0, 240.0, 360.0, 120.0};
  double best = walls_deg, best_off = kAgrees;
  const auto gaps = static_cast<double>(beams - 1);
  // A step that makes a field of whole tens with these beams before any other.
  for (const double field : kFields) {
    for (const double n : {gaps, gaps + 1.0}) {
      const double step = field / n;
      const bool round = std::any_of(kSteps.begin(), kSteps.end(), [&](double s) { return is_near(step, s, 1e-6); });
      const double off = std::abs(step / walls_deg - 1.0) + (round ? 0.0 : 0.015) + (n == gaps ? 0.0 : 0.002);
      if (off >= best_off) continue;
      best_off = off;
      best = step;
    }
  }
  return best;
}

void take_ranges_alone(const SeenTurn& seen, RangeGuess& guess) {
  const auto beams = static_cast<double>(seen.beams);
  if (seen.closed && seen.walls_fit_circle()) {
    guess.step.value = seen.step_rad() * kDegreesPerRadian;
    tell_angles(
        guess, 97,
        fmt::format("the last of {} ranges lies beside the first, so that they go once round{}; where the first "
                    "one points the log does not say: robot.yaml's heading_deg takes that up",
                    seen.beams, seen.repeated ? ", the last one being the first again" : ""));
    return;
  }
  if (seen.walls_rad == 0.0) {
    guess.step.value = 360.0 / beams;
    tell_angles(guess, 40, "nothing tells it: too few ranges lie on walls; once round is assumed", {"half round"});
    return;
  }
  const double walls_deg = seen.walls_rad * kDegreesPerRadian;
  guess.step.value = likely_step_deg(walls_deg, seen.beams);
  guess.open = true;
  guess.first.value = -0.5 * guess.step.value * (beams - 1.0);
  tell_angles(guess, 85,
              fmt::format("walls are straight where neighbouring ranges are {}° apart ({} places), and the last does "
                          "not lie beside the first: {}° in all, half to each side is assumed",
                          short_text(walls_deg, 3), seen.triples, short_text(guess.step.value * (beams - 1.0), 1)),
              {fmt::format("{}° each", short_text(walls_deg, 3))});
}

}  // namespace

double AngleGuess::rad() const { return in_rad(value, unit); }

void guess_turn_angles(const RecordKind& kind, const std::vector<std::vector<double>>& turns, RangeGuess& guess) {
  const SeenTurn seen = seen_turn(turns);
  if (guess.array && seen.step_rad() > 0.0) {
    if (take_labels(kind.arrays[*guess.array].labels, seen, guess) || take_columns(kind, seen, guess) ||
        take_end_columns(kind, seen, guess) || take_angle_array(kind, seen, guess)) {
      return;
    }
  }
  take_ranges_alone(seen, guess);
}

}  // namespace wainscot
