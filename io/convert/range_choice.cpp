#include "io/convert/range_choice.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/convert/column_text.hpp"
#include "io/convert/log_units.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kComparedScans = 250;   // some 30 s of an ordinary lidar: which of several arrays are the ranges
constexpr std::size_t kFollowedScans = 1200;  // two or three minutes

std::size_t best_of(const LogSample& sample, const std::vector<RangeGuess>& guesses) {
  constexpr std::size_t kMost = 4;
  constexpr double kClearlyLess = 0.35;
  constexpr double kClearlyMore = 0.02;
  std::size_t best = 0;
  if (guesses.size() == 1) return best;
  double best_sure = -1.0;
  for (std::size_t i = 0; i < std::min(kMost, guesses.size()); ++i) {
    if (guesses[i].likeness < guesses.front().likeness - kClearlyLess) break;
    const double sure = track_lidar(sampled_scans(sample, guesses[i], kComparedScans)).sure;
    if (sure <= best_sure + kClearlyMore) continue;
    best_sure = sure;
    best = i;
  }
  return best;
}

void ask_unit(RangeGuess& ranges, const GuessItems& items) {
  for (GuessedItem& item : ranges.items) {
    if (item.what != "unit of the ranges" || items.ask(item).value_or(0) == 0) continue;
    ranges.values.unit = item.value;
    ranges.values.unit_m = find_log_unit(item.value)->si;
  }
}

std::string ranges_text(const LogSample& sample, const RangeGuess& ranges) {
  if (!ranges.array) return column_text(sample, ranges.file, ranges.kind, ranges.range_column);
  const RecordKind& kind = sample.files[ranges.file].kinds[ranges.kind];
  const SampleArray& array = kind.arrays[*ranges.array];
  const std::string message = kind.choice.message.empty() ? "" : " of " + kind.choice.message;
  return name_text(array.name) + (array.last_name.empty() ? "" : " and on") + message;
}

int percent_by(const LidarTrack& track) {
  if (track.sure > 0.7) return 99;
  return track.sure > 0.4 ? 90 : 50;
}

}  // namespace

ChosenRanges choose_ranges(const LogSample& sample, GuessItems& items) {
  std::vector<RangeGuess> guesses = guess_ranges(sample);
  if (const std::string untimed = ranges_without_time(sample); guesses.empty() && !untimed.empty()) {
    throw PoorData(fmt::format(
        "no guess: {} and on look like a lidar's ranges, but no value beside them is a time that grows from "
        "record to record; let the robot log one with each scan",
        printable(name_text(untimed))));
  }
  if (guesses.empty()) {
    throw PoorData(
        "no guess: nothing in the logs looks like a lidar's ranges, many values a record or angle and range a record, "
        "with a time that grows; write columns.yaml by hand and give it with --columns");
  }
  ChosenRanges chosen;
  chosen.ranges = std::move(guesses[best_of(sample, guesses)]);
  const RangeGuess& ranges = chosen.ranges;
  ask_unit(chosen.ranges, items);
  chosen.track = track_lidar(sampled_scans(sample, ranges, kFollowedScans));
  items.tell(ItemSection::lidar, {"ranges",
                                  ranges_text(sample, ranges),
                                  fmt::format("neighbours are alike, and {} of {} turns fit the one before as walls do",
                                              percent_text(chosen.track.sure), chosen.track.scans.scans.size()),
                                  percent_by(chosen.track),
                                  {}});
  items.tell_time(ItemSection::lidar, "time of the scans",
                  column_text(sample, ranges.file, ranges.kind, ranges.time.column), ranges.time);
  for (const GuessedItem& item : ranges.items) items.tell(ItemSection::lidar, item);
  return chosen;
}

}  // namespace wainscot
