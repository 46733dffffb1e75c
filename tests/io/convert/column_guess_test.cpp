#include "io/convert/column_guess.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/convert/made_room_log.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

const GuessedItem& item_of(const ColumnGuess& guess, const std::string& what) {
  const auto found =
      std::find_if(guess.items.begin(), guess.items.end(), [&](const GuessedItem& i) { return i.what == what; });
  if (found == guess.items.end()) throw std::runtime_error("no item " + what);
  return *found;
}

ColumnGuess guess_of(const std::string& text, const AskUser& ask = {}) {
  const ReaderFolder folder;
  return guess_columns(read_log_sample({folder.write("robot.log", text)}, {"robot.log"}), ask);
}

const std::string& the_text() {
  static const std::string text = made_log_text(MadeRoom(30.0));
  return text;
}

TEST(ColumnGuess, AWholeLog) {
  const ColumnGuess guess = guess_of(the_text());
  ASSERT_TRUE(guess.columns.wheels);
  EXPECT_EQ(guess.columns.wheels->records.message, "W");
  EXPECT_EQ(guess.columns.wheels->time.column, "2");
  EXPECT_EQ(guess.columns.wheels->time.unit, "ms");
  EXPECT_EQ(guess.columns.wheels->left.column, "3");
  EXPECT_EQ(guess.columns.wheels->right.column, "4");
  ASSERT_TRUE(guess.columns.scans);
  EXPECT_EQ(guess.columns.scans->ranges, "3");
  EXPECT_EQ(guess.columns.scans->range_unit, "mm");
  EXPECT_NEAR(*guess.columns.scans->angle_step.constant, 2.0, 1e-9);
  EXPECT_TRUE(guess.robot_is_known);
  EXPECT_NEAR(guess.robot.drive->track_width_m, MadeRoom::kTrack, 0.03);
  EXPECT_NEAR(guess.robot.lidar.heading_deg, 0.0, 2.0);
  // Nothing calls the wheels left and right.
  EXPECT_LT(item_of(guess, "left wheel").percent, kSurePercent);
  EXPECT_TRUE(guess.has_doubts());
  for (const GuessedItem& item : guess.items) EXPECT_FALSE(item.why.empty()) << item.what;
}

TEST(ColumnGuess, AsksOnlyWhereTwoAnswersFit) {
  std::vector<std::string> asked;
  const ColumnGuess guess =
      guess_of(the_text(), [&asked](const GuessedItem& item, const std::vector<std::string>& answers) {
        asked.push_back(item.what);
        EXPECT_EQ(answers.size(), 2U);
        return std::size_t{1};  // the other one
      });
  EXPECT_EQ(asked, std::vector<std::string>{"left wheel"});
  EXPECT_EQ(guess.columns.wheels->left.column, "4");
  EXPECT_LT(*guess.columns.scans->angle_step.constant, 0.0);  // then the lidar counts clockwise
  EXPECT_EQ(item_of(guess, "left wheel").percent, 100);
}

/// As a board prints it: times of day before names and numbers, lines that the serial line damaged.
std::string chatty_text(const MadeRoom& room) {
  const auto clock = [](double time_s) {
    const int ms = static_cast<int>(std::lround(1e3 * time_s)) + 59'000;
    return fmt::format("[23:{:02}:{:02}.{:03}]", 58 + ms / 60'000, ms / 1000 % 60, ms % 1000);
  };
  std::string text = "cart 0.3 starts\r\n";
  std::size_t next = 0, line = 0;
  for (const WheelCounts& row : room.wheels) {
    for (; next < room.turns.size() && room.turns[next].time_s <= row.time_s; ++next) {
      const MadeTurn& turn = room.turns[next];
      for (std::size_t b = 0; b < turn.ranges_m.size(); ++b) {
        std::string beam = fmt::format("{} lidar {:.1f} {:.0f}",
                                       clock(turn.time_s + MadeRoom::kTurnS / 180.0 * static_cast<double>(b)),
                                       2.0 * static_cast<double>(b), 1e3 * turn.ranges_m[b]);
        if (++line % 997 == 0) beam.resize(16 + line % 9);
        if (line % 1499 == 0) beam[17 + line % 7] = '#';
        text += beam + "\r\n";
      }
    }
    text += fmt::format("{} enc L={} R={}\r\n", clock(row.time_s), row.left_ticks + 700, row.right_ticks - 300);
  }
  return text;
}

TEST(ColumnGuess, AChattySerialLine) {
  const ColumnGuess guess = guess_of(chatty_text(MadeRoom(30.0)));
  ASSERT_TRUE(guess.columns.wheels);
  EXPECT_EQ(guess.columns.wheels->records.message, "enc");
  EXPECT_EQ(guess.columns.wheels->time.column, "1");
  EXPECT_EQ(guess.columns.wheels->time.unit, "s");
  EXPECT_EQ(guess.columns.wheels->left.column, "3");
  ASSERT_TRUE(guess.columns.returns);
  EXPECT_EQ(guess.columns.returns->records.message, "lidar");
  EXPECT_EQ(guess.columns.returns->angle.column, "3");
  EXPECT_EQ(guess.columns.returns->range.unit, "mm");
  EXPECT_FALSE(guess.has_doubts());  // the names in the cells say which wheel is the left one
}

TEST(ColumnGuess, ALogWithoutALidarGivesNone) {
  std::string text;
  for (int i = 0; i < 300; ++i)
    text += std::to_string(20 * i) + "," + std::to_string(3 * i) + "," + std::to_string(4 * i) + "\n";
  EXPECT_THROW(guess_of(text), PoorData);
}

}  // namespace
}  // namespace wainscot
