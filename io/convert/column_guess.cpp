#include "io/convert/column_guess.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "io/convert/clock_choice.hpp"
#include "io/convert/column_text.hpp"
#include "io/convert/direction_choice.hpp"
#include "io/convert/guessed_columns.hpp"
#include "io/convert/motion_choice.hpp"
#include "io/convert/motion_guess.hpp"
#include "io/convert/range_choice.hpp"
#include "io/convert/robot_guess.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

void tell_files(const LogSample& sample, GuessItems& items) {
  constexpr std::size_t kMostShown = 8;  // words that a serial line damaged look like messages, and are seldom
  for (const SampledFile& file : sample.files) {
    std::string kinds;
    std::size_t records = 0, shown = 0;
    for (const RecordKind& kind : file.kinds) {
      records += kind.records;
      if (kind.choice.message.empty() || shown == kMostShown) continue;
      kinds += fmt::format("{}{} ({})", shown++ == 0 ? "" : ", ", printable(kind.choice.message), kind.records);
    }
    if (file.kinds.size() > kMostShown) kinds += ", ...";
    items.tell(ItemSection::head, {"form of " + file.file.name,
                                   form_text(file.file),
                                   shown == 0 ? fmt::format("{} of one kind were read", count_text(records, "record"))
                                              : "messages and how many of each: " + kinds,
                                   99,
                                   {}});
  }
}

}  // namespace

bool ColumnGuess::has_doubts() const {
  return std::any_of(items.begin(), items.end(), [](const GuessedItem& item) { return item.percent < kSurePercent; });
}

ColumnGuess guess_columns(const LogSample& sample, const AskUser& ask) {
  GuessItems items(ask);
  tell_files(sample, items);
  const ChosenRanges lidar = choose_ranges(sample, items);
  const ChosenMotion motion =
      choose_motion(sample, guess_motion(sample, lidar.ranges, lidar.track), lidar.track, items);
  const ChosenDirection direction = choose_direction(sample, lidar, motion, items);
  const ChosenClocks clocks = choose_clocks(motion, items);
  const RobotGuess robot = guess_robot(lidar.track, motion, direction);
  ColumnGuess guess;
  guess.columns = guessed_columns(sample, lidar.ranges, motion, direction.likeliest(), clocks);
  guess.robot = robot.robot;
  guess.robot_is_known = robot.is_known;
  guess.items = items.finish(lidar.ranges.array ? "scans" : "returns", motion.wheels() != nullptr     ? "wheels"
                                                                       : motion.odometry() != nullptr ? "odometry"
                                                                                                      : "");
  return guess;
}

}  // namespace wainscot
