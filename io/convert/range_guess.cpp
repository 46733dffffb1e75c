#include "io/convert/range_guess.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <fmt/format.h>

#include "core/angles.hpp"
#include "core/median.hpp"
#include "core/pose2.hpp"
#include "io/convert/angle_list.hpp"
#include "io/convert/beam_rows.hpp"
#include "io/convert/turn_angles.hpp"

namespace wainscot {
namespace {

// Turns of a lidar a second, and single beams.
constexpr double kSlowestTurns = 0.7, kFastestTurns = 60.0, kUsualTurns = 8.0;

using Turns = std::vector<std::vector<double>>;

/// How ranges are alike among neighbours beside what changes from turn to turn; 0: not at all.
double likeness_to_ranges(const Turns& turns) {
  std::vector<double> neighbours, changes, all;
  const std::size_t half = turns.size() / 2;
  const std::size_t stride = std::max<std::size_t>(1, turns.size() / 100);
  for (std::size_t t = 0; t < turns.size(); t += stride) {
    const std::vector<double>& ranges = turns[t];
    const std::vector<double>& later = turns[(t + half) % turns.size()];
    for (std::size_t i = 1; i < ranges.size(); ++i) {
      if (!(ranges[i] > 0.0)) continue;
      all.push_back(ranges[i]);
      if (ranges[i - 1] > 0.0) neighbours.push_back(std::abs(ranges[i] - ranges[i - 1]));
      if (i < later.size() && later[i] > 0.0) changes.push_back(std::abs(ranges[i] - later[i]));
    }
  }
  // What stays for a whole turn is no range: a count or a voltage that stands beside each beam.
  if (all.size() < 200 || median(changes) <= 0.0 || quantile(neighbours, 0.9) <= 0.0) return 0.0;
  return 1.0 - std::min(1.0, median(neighbours) / median(changes));
}

/// Some turns, evenly spaced, without what means no return.
Turns clean_turns(const Turns& turns, const std::vector<double>& no_return) {
  constexpr std::size_t kMost = 150;
  const std::size_t stride = std::max<std::size_t>(1, turns.size() / kMost);
  Turns clean;
  for (std::size_t t = 0; t < turns.size(); t += stride) {
    if (turns[t].size() < 2) continue;
    clean.push_back(turns[t]);
    for (double& range : clean.back()) {
      if (!(range > 0.0) || std::find(no_return.begin(), no_return.end(), range) != no_return.end()) range = 0.0;
    }
  }
  return clean;
}

void guess_values(const Turns& turns, RangeGuess& guess) {
  std::vector<double> pool;
  for (const std::vector<double>& turn : turns) pool.insert(pool.end(), turn.begin(), turn.end());
  guess.values = guess_range_values(std::move(pool));
  guess.items.push_back(
      {"unit of the ranges", guess.values.unit, guess.values.unit_why, guess.values.percent, guess.values.other_units});
  if (guess.values.no_return.empty()) return;
  std::string list;
  for (const double value : guess.values.no_return) list += fmt::format("{}{:g}", list.empty() ? "" : ", ", value);
  guess.items.push_back({"no return", list, guess.values.no_return_why, 97, {"the lidar's reach, free up to there"}});
}

/// Turns of records that are beams, in the order of their angles.
Turns turns_of_beams(const RecordKind& kind, const BeamAngleColumn& angle, std::size_t range_column) {
  Turns turns;
  for (std::size_t t = 0; t + 1 < angle.starts.size(); ++t) {
    std::vector<double>& turn = turns.emplace_back(angle.per_turn, 0.0);
    for (std::size_t i = angle.starts[t]; i < angle.starts[t + 1]; ++i) {
      // Where beams without a return have no row, the others keep their places.
      const double value = kind.columns[angle.column].values[i];
      const double first = kind.columns[angle.column].values[angle.starts[t]];
      const double span = static_cast<double>(angle.per_turn - 1);
      const double around = angle.numbered  ? static_cast<double>(angle.per_turn)
                            : angle.degrees ? 360.0
                                            : 2.0 * std::numbers::pi;
      const double place = std::abs(value - (angle.numbered ? angle.first_number : first)) / around * (span + 1.0);
      const auto index = static_cast<std::size_t>(std::lround(place));
      if (index < turn.size()) turn[index] = kind.columns[range_column].values[i];
    }
  }
  return turns;
}

bool take_angle_list(const RecordKind& kind, RangeGuess& guess) {
  const std::optional<AngleList> list = angle_list_beside(kind, *guess.array);
  if (!list) return false;
  guess.angle_list = list->array;
  guess.first.unit = list->unit;
  guess.angles_told = true;
  guess.items.push_back({"angles of the ranges",
                         fmt::format("{}, {}", kind.arrays[list->array].name, list->unit),
                         "it has one for each range, and in each record they run round",
                         99,
                         {}});
  return true;
}

void guess_arrays(const LogSample& sample, std::size_t file, std::size_t k, std::vector<RangeGuess>& found) {
  constexpr double kFewest = 8;
  const RecordKind& kind = sample.files[file].kinds[k];
  if (static_cast<double>(kind.records) < kFewest) return;
  const std::vector<TimeGuess> times = guess_times(kind, kSlowestTurns, kFastestTurns, kUsualTurns);
  if (times.empty()) return;
  for (std::size_t a = 0; a < kind.arrays.size(); ++a) {
    const Turns& turns = kind.arrays[a].rows;
    std::vector<double> sizes;
    for (const std::vector<double>& turn : turns) sizes.push_back(static_cast<double>(turn.size()));
    if (median(sizes) < 16.0) continue;
    RangeGuess guess;
    guess.file = file;
    guess.kind = k;
    guess.array = a;
    guess.time = times.front();
    guess_values(turns, guess);
    const Turns clean = clean_turns(turns, guess.values.no_return);
    guess.likeness = likeness_to_ranges(clean);
    if (guess.likeness <= 0.0) continue;
    if (!take_angle_list(kind, guess)) guess_turn_angles(kind, clean, guess);
    found.push_back(std::move(guess));
  }
}

void guess_beams(const LogSample& sample, std::size_t file, std::size_t k, std::vector<RangeGuess>& found) {
  const RecordKind& kind = sample.files[file].kinds[k];
  for (const BeamAngleColumn& angle : beam_angle_columns(kind)) {
    const auto per_turn = static_cast<double>(kind.records) / static_cast<double>(angle.starts.size());
    const std::vector<TimeGuess> times =
        guess_times(kind, kSlowestTurns * per_turn, kFastestTurns * per_turn, kUsualTurns * per_turn);
    if (times.empty()) continue;
    for (std::size_t c = 0; c < kind.columns.size(); ++c) {
      if (c == angle.column || c == times.front().column) continue;
      RangeGuess guess;
      guess.file = file;
      guess.kind = k;
      guess.time = times.front();
      guess.angle_column = angle.column;
      guess.range_column = c;
      guess.numbered = angle.numbered;
      const Turns turns = turns_of_beams(kind, angle, c);
      guess_values(turns, guess);
      const Turns clean = clean_turns(turns, guess.values.no_return);
      guess.likeness = likeness_to_ranges(clean);
      if (guess.likeness <= 0.3) continue;
      guess.first.unit = angle.degrees ? "deg" : "rad";
      if (guess.numbered) guess_turn_angles(kind, clean, guess);
      guess.angles_told = !guess.numbered;
      if (!guess.numbered) {
        guess.items.push_back({"angle of a beam",
                               guess.first.unit,
                               fmt::format("column {} runs round and round, {} records a turn",
                                           kind.columns[angle.column].name, std::lround(per_turn)),
                               99,
                               {}});
      }
      found.push_back(std::move(guess));
    }
  }
}

void add_return(const RangeGuess& guess, double logged, double angle_rad, Scan& scan) {
  if (!(logged > 0.0) || !std::isfinite(logged)) return;
  const std::vector<double>& codes = guess.values.no_return;
  if (std::find(codes.begin(), codes.end(), logged) != codes.end()) return;
  scan.returns.push_back(
      {static_cast<float>(wrap_angle(angle_rad)), static_cast<float>(logged * guess.values.unit_m), 0.0F});
}

/// The angle of a range of a turn.
double angle_of(const RecordKind& kind, const RangeGuess& guess, std::size_t record, std::size_t beam) {
  if (!guess.angle_list) return guess.first.rad() + static_cast<double>(beam) * guess.step.rad();
  const std::vector<double>& angles = kind.arrays[*guess.angle_list].rows[record];
  const double angle = beam < angles.size() ? angles[beam] : 0.0;
  return guess.first.unit == "rad" ? angle : angle * kDegree;
}

}  // namespace

std::vector<RangeGuess> guess_ranges(const LogSample& sample) {
  std::vector<RangeGuess> found;
  for (std::size_t file = 0; file < sample.files.size(); ++file) {
    for (std::size_t kind = 0; kind < sample.files[file].kinds.size(); ++kind) {
      guess_arrays(sample, file, kind, found);
      guess_beams(sample, file, kind, found);
    }
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const RangeGuess& a, const RangeGuess& b) { return a.likeness > b.likeness; });
  return found;
}

std::string ranges_without_time(const LogSample& sample) {
  constexpr double kLike = 0.5;
  for (const SampledFile& file : sample.files) {
    for (const RecordKind& kind : file.kinds) {
      if (!guess_times(kind, kSlowestTurns, kFastestTurns, kUsualTurns).empty()) continue;
      for (const SampleArray& array : kind.arrays) {
        if (likeness_to_ranges(clean_turns(array.rows, {})) > kLike) return array.name;
      }
    }
  }
  return {};
}

std::vector<Scan> sampled_scans(const LogSample& sample, const RangeGuess& guess, std::size_t most) {
  const RecordKind& kind = sample.files[guess.file].kinds[guess.kind];
  const std::vector<double> times = times_s(kind, guess.time);
  std::vector<Scan> scans;
  if (guess.array) {
    const Turns& rows = kind.arrays[*guess.array].rows;
    for (std::size_t i = 0; i < std::min(most, rows.size()); ++i) {
      Scan& scan = scans.emplace_back(Scan{times[i], {}});
      for (std::size_t b = 0; b < rows[i].size(); ++b) {
        add_return(guess, rows[i][b], angle_of(kind, guess, i, b), scan);
      }
    }
    return scans;
  }
  const std::vector<double>& angles = kind.columns[guess.angle_column].values;
  std::vector<std::size_t> starts;
  for (const BeamAngleColumn& column : beam_angle_columns(kind)) {
    if (column.column == guess.angle_column) starts = column.starts;
  }
  for (std::size_t t = 0; t + 1 < starts.size() && scans.size() < most; ++t) {
    Scan& scan = scans.emplace_back(Scan{times[starts[t]], {}});
    for (std::size_t i = starts[t]; i < starts[t + 1]; ++i) {
      const double angle = guess.numbered              ? guess.first.rad() + angles[i] * guess.step.rad()
                           : guess.first.unit == "rad" ? angles[i]
                                                       : angles[i] * kDegree;
      add_return(guess, kind.columns[guess.range_column].values[i], angle, scan);
    }
  }
  return scans;
}

}  // namespace wainscot
