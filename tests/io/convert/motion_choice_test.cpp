#include "io/convert/motion_choice.hpp"

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

struct Chosen {
  ChosenMotion motion;
  std::vector<GuessedItem> told;
};

Chosen chosen_of(const LogSample& sample, MotionGuess guess) {
  const AskUser nobody;
  GuessItems items(nobody);
  Chosen chosen;
  chosen.motion = choose_motion(sample, std::move(guess), LidarTrack{}, items);
  chosen.told = items.finish("scans", "wheels");
  return chosen;
}

WheelGuess wheels_of(std::size_t first, std::size_t second, double explained) {
  WheelGuess wheels;
  wheels.first = first;
  wheels.second = second;
  wheels.records.clock.explained = explained;
  return wheels;
}

LogSample sample_with(const std::vector<std::string>& labels) {
  RecordKind kind;
  for (const std::string& label : labels) kind.columns.push_back(made_column(label, {1.0}, label));
  return made_sample({kind});
}

TEST(MotionChoice, NamesSettleWhatAgreesAlike) {
  const LogSample sample = sample_with({"t", "a", "b", "left", "right"});
  EXPECT_EQ(side_by_names(sample, wheels_of(3, 4, 0.0)), 1);
  EXPECT_EQ(side_by_names(sample, wheels_of(1, 2, 0.0)), 0);
  MotionGuess guess;
  guess.wheels = {wheels_of(1, 2, 0.981), wheels_of(3, 4, 0.98)};
  guess.odometry.emplace_back();
  const Chosen chosen = chosen_of(sample, guess);
  ASSERT_NE(chosen.motion.wheels(), nullptr);
  EXPECT_EQ(chosen.motion.wheels()->first, 3U);
  EXPECT_EQ(chosen.motion.odometry(), nullptr);
  EXPECT_EQ(chosen.motion.records(), &chosen.motion.wheels()->records);
  EXPECT_EQ(chosen.told.front().value, "left and right, totals");
  EXPECT_EQ(chosen.told.front().percent, 90);  // another pair agrees as well
  EXPECT_EQ(chosen.told.front().others.size(), 2U);
}

TEST(MotionChoice, OdometryWhereThereAreNoWheels) {
  const LogSample sample = sample_with({"t", "x", "y", "heading"});
  MotionGuess guess;
  OdometryGuess& odometry = guess.odometry.emplace_back();
  odometry.x = 1;
  odometry.y = 2;
  odometry.heading = 3;
  odometry.unit = "cm";
  odometry.fit.left_m_per_tick = 0.98;
  const Chosen chosen = chosen_of(sample, guess);
  EXPECT_NE(chosen.motion.odometry(), nullptr);
  EXPECT_EQ(chosen.told.front().value, "x, y, heading");
  EXPECT_EQ(chosen.told[1].value, "cm");
}

TEST(MotionChoice, Nothing) {
  const Chosen chosen = chosen_of(sample_with({"t"}), {});
  EXPECT_EQ(chosen.motion.records(), nullptr);
  EXPECT_EQ(chosen.motion.gyro(), nullptr);
  EXPECT_EQ(chosen.told.front().value, "none");
}

}  // namespace
}  // namespace wainscot
