#include "io/convert/column_guess.hpp"

#include <algorithm>

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

TEST(ColumnGuess, ALogWithoutALidarGivesNone) {
  std::string text;
  for (int i = 0; i < 300; ++i)
    text += std::to_string(20 * i) + "," + std::to_string(3 * i) + "," + std::to_string(4 * i) + "\n";
  EXPECT_THROW(guess_of(text), PoorData);
}

}  // namespace
}  // namespace wainscot
