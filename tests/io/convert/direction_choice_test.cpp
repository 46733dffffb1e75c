#include "io/convert/direction_choice.hpp"

#include <algorithm>
#include <optional>
#include <string>

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

/// The directions of a room whose wheels have the given names, where a person gives `answer` to all questions.
struct Settled {
  ChosenDirection direction;
  std::vector<std::string> asked;
  std::vector<GuessedItem> told;

  Settled(const std::string& first, const std::string& second, std::optional<std::size_t> answer) {
    const MadeRoom room(30.0);
    RecordKind wheels = made_wheel_kind(room);
    wheels.columns[1].label = first;
    wheels.columns[2].label = second;
    const LogSample sample = made_sample({wheels, made_scan_kind(room)});
    const AskUser ask = [&](const GuessedItem& item, const std::vector<std::string>&) {
      asked.push_back(item.what);
      return answer;
    };
    GuessItems items(ask);
    const ChosenRanges ranges = choose_ranges(sample, items);
    const ChosenMotion motion =
        choose_motion(sample, guess_motion(sample, ranges.ranges, ranges.track), ranges.track, items);
    direction = choose_direction(sample, ranges, motion, items);
    told = items.finish("scans", "wheels");
  }

  const std::string& value_of(const std::string& what) const {
    return std::find_if(told.begin(), told.end(), [&](const GuessedItem& item) { return item.what == what; })->value;
  }
};

TEST(DirectionChoice, NamesSettleIt) {
  const Settled left("left", "right", 0);
  EXPECT_TRUE(left.asked.empty());
  EXPECT_FALSE(left.direction.likeliest().swapped);
  EXPECT_EQ(left.value_of("direction of the lidar"), "its angles grow counter-clockwise");
  const Settled right("right", "left", 0);
  EXPECT_TRUE(right.direction.likeliest().swapped);
  EXPECT_EQ(right.value_of("direction of the lidar"), "its angles grow clockwise");
}

TEST(DirectionChoice, ElseAnAnswer) {
  const Settled other("a", "b", 1);
  EXPECT_EQ(other.asked, std::vector<std::string>{"left wheel"});
  EXPECT_TRUE(other.direction.likeliest().swapped);
  EXPECT_TRUE(other.direction.likeliest().mirrored);
  const Settled nobody("a", "b", std::nullopt);
  EXPECT_FALSE(nobody.direction.likeliest().swapped);
  EXPECT_EQ(nobody.value_of("left wheel"), "column 3");
}

}  // namespace
}  // namespace wainscot
