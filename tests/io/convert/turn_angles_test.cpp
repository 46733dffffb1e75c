#include "io/convert/turn_angles.hpp"

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

struct TurnCase {
  explicit TurnCase(const MadeRoom& room) : kind(made_scan_kind(room)) {
    kind.records = room.turns.size();
    for (const MadeTurn& turn : room.turns) turns.push_back(turn.ranges_m);
    guess.array = 0;
  }
  void add_column(const std::string& label, double value) {
    kind.columns.push_back(made_column(label, std::vector<double>(kind.records, value), label));
  }
  void guess_it() { guess_turn_angles(kind, turns, guess); }

  RecordKind kind;
  std::vector<std::vector<double>> turns;
  RangeGuess guess;
};

TEST(TurnAngles, OnceRoundWhereTheLastMeetsTheFirst) {
  TurnCase c(MadeRoom(10.0));
  c.guess_it();
  EXPECT_NEAR(c.guess.step.value, 2.0, 1e-9);
  EXPECT_FALSE(c.guess.angles_told);
  EXPECT_GE(c.guess.items.back().percent, 95);
}

TEST(TurnAngles, TheFirstRangeMayComeAgainAtTheEnd) {
  TurnCase c(MadeRoom(10.0));
  for (std::vector<double>& turn : c.turns) turn.push_back(turn.front());
  c.guess_it();
  EXPECT_NEAR(c.guess.step.value, 2.0, 1e-9);
}

TEST(TurnAngles, AnOpenTurnByItsWallsIsADoubt) {
  TurnCase c(MadeRoom(10.0, 240.0, 481));
  c.guess_it();
  EXPECT_NEAR(c.guess.step.value, 0.5, 1e-9);
  EXPECT_NEAR(c.guess.first.value, -120.0, 1e-6);
  EXPECT_TRUE(c.guess.open);
  EXPECT_LT(c.guess.items.back().percent, 95);
}

TEST(TurnAngles, StartAndStepOfTheRecord) {
  TurnCase c(MadeRoom(10.0));
  c.add_column("q1", 1.0);  // a flag
  c.add_column("w", -3.1416);
  c.add_column("dw", 0.0349066);
  c.guess_it();
  ASSERT_TRUE(c.guess.step.column);
  EXPECT_EQ(c.kind.columns[*c.guess.step.column].name, "dw");
  ASSERT_TRUE(c.guess.first.column);
  EXPECT_EQ(c.kind.columns[*c.guess.first.column].name, "w");
  EXPECT_EQ(c.guess.step.unit, "rad");
  EXPECT_TRUE(c.guess.angles_told);
}

TEST(TurnAngles, EndsOfTheTurn) {
  TurnCase c(MadeRoom(10.0, 180.0, 181));
  c.add_column("from", 90.0);
  c.add_column("to", -90.0);
  c.guess_it();
  EXPECT_NEAR(c.guess.first.value, 90.0, 1e-9);
  EXPECT_NEAR(c.guess.step.value, -1.0, 1e-9);
  EXPECT_TRUE(c.guess.angles_told);
}

TEST(TurnAngles, HeadingsThatAreAnglesAndSuchThatAreNumbers) {
  TurnCase angles(MadeRoom(10.0));
  TurnCase numbers(MadeRoom(10.0));
  for (int b = 0; b < MadeRoom::kBeams; ++b) {
    angles.kind.arrays[0].labels.push_back("a" + std::to_string(-180 + 2 * b));
    numbers.kind.arrays[0].labels.push_back("r" + std::to_string(b));
  }
  angles.guess_it();
  EXPECT_TRUE(angles.guess.angles_told);
  EXPECT_NEAR(angles.guess.first.value, -180.0, 1e-9);
  EXPECT_NEAR(angles.guess.step.value, 2.0, 1e-9);
  numbers.guess_it();
  EXPECT_FALSE(numbers.guess.angles_told);
  EXPECT_NEAR(numbers.guess.step.value, 2.0, 1e-9);
}

}  // namespace
}  // namespace wainscot
