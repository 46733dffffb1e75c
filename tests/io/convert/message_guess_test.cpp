#include "io/convert/message_guess.hpp"

#include <string>

#include <gtest/gtest.h>

#include "io/convert/table_line.hpp"

namespace wainscot {
namespace {

class Lines {
 public:
  void add(const std::string& line, int times = 1) {
    for (int i = 0; i < times; ++i) lines_.push_back(line);
  }
  std::optional<std::size_t> message() const {
    std::vector<std::vector<std::string_view>> rows(lines_.size());
    for (std::size_t i = 0; i < lines_.size(); ++i) cut_line(lines_[i], Separator::comma, rows[i]);
    return guess_message_column(rows, Separator::comma);
  }

 private:
  std::vector<std::string> lines_;
};

TEST(MessageGuess, AWordBeforeRowsOfDifferentLength) {
  Lines lines;
  for (int i = 0; i < 30; ++i) {
    lines.add("W,1.5,100,200");
    lines.add("S,1.5,1,2,3,4,5,6");
  }
  EXPECT_EQ(lines.message(), 0U);
}

TEST(MessageGuess, ANumberBehindTheTime) {
  Lines lines;
  for (int i = 0; i < 30; ++i) {
    lines.add(std::to_string(1000 + 20 * i) + ",3,100,200");
    lines.add(std::to_string(1005 + 20 * i) + ",7,1,2,3,4,5,6");
  }
  EXPECT_EQ(lines.message(), 1U);
}

TEST(MessageGuess, WordsBeforeRowsOfOneLengthDifferByTheirSizes) {
  Lines lines;
  for (int i = 0; i < 30; ++i) {
    lines.add("E,1.5," + std::to_string(1000 * i) + "," + std::to_string(900 * i));
    lines.add("G,1.5,0.0" + std::to_string(i) + ",0.1");
  }
  EXPECT_EQ(lines.message(), 0U);
}

TEST(MessageGuess, LinesCutShortDoNotHideIt) {
  Lines lines;
  for (int i = 0; i < 30; ++i) {
    lines.add(std::to_string(1000 + 20 * i) + ",enc,100,200");
    lines.add(std::to_string(1005 + 20 * i) + ",lidar,1,2,3,4,5,6");
  }
  lines.add("10");
  EXPECT_EQ(lines.message(), 1U);
}

TEST(MessageGuess, NamedNumbersAreNone) {
  Lines lines;
  for (int i = 0; i < 30; ++i) {
    lines.add("n=" + std::to_string(i % 2) + ",enc,100,200");
    lines.add("n=" + std::to_string(i % 2) + ",lidar,1,2,3,4,5,6");
  }
  EXPECT_EQ(lines.message(), 1U);
}

TEST(MessageGuess, CountsFromRowToRowAreNoMessages) {
  Lines lines;
  for (int i = 0; i < 1000; ++i) {
    const int counts = i % 25 == 0 ? 120 + (i / 25) % 12 : 0;
    lines.add(std::to_string(1000 + i) + "," + std::to_string(counts) + "," + std::to_string(i % 360) + "," +
              std::to_string(900 + i % 77));
  }
  EXPECT_EQ(lines.message(), std::nullopt);
}

TEST(MessageGuess, AFlagOrAStateIsNoMessage) {
  Lines lines;
  for (int i = 0; i < 60; ++i)
    lines.add(std::to_string(20 * i) + "," + std::to_string(7 * i) + ",5," + (i % 9 == 0 ? "1" : "0"));
  EXPECT_EQ(lines.message(), std::nullopt);
  Lines states;
  for (int i = 0; i < 60; ++i) states.add(std::to_string(20 * i) + ",5,6," + (i % 9 == 0 ? "bump" : "ok"));
  EXPECT_EQ(states.message(), std::nullopt);
}

}  // namespace
}  // namespace wainscot
