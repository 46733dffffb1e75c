#include "io/convert/guessed_columns.hpp"

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

/// A time, two wheels and an array of ranges, of one file or of two.
LogSample sample_of_two_kinds() {
  RecordKind wheels;
  wheels.columns = {made_column("t", {1.0, 2.0}), made_column("a", {3.0, 4.0}), made_column("b", {5.0, 6.0})};
  RecordKind scans;
  scans.columns = {made_column("t", {1.0, 2.0})};
  scans.arrays = {{"mm", "", false, {}, {{1.0, 2.0}, {1.0, 2.0}}}};
  return made_sample({wheels, scans});
}

RangeGuess ranges_of_arrays() {
  RangeGuess ranges;
  ranges.kind = 1;
  ranges.array = 0;
  ranges.time.unit = "ms";
  ranges.values.unit = "mm";
  ranges.first.value = 10.0;
  ranges.step.value = 2.0;
  return ranges;
}

ChosenMotion wheels_ab() {
  ChosenMotion motion;
  WheelGuess& wheels = motion.all.wheels.emplace_back();
  wheels.first = 1;
  wheels.second = 2;
  wheels.records.time.unit = "ms";
  return motion;
}

TEST(GuessedColumns, SidesSignsAndOffsets) {
  Direction direction;
  direction.swapped = direction.mirrored = direction.left_backwards = true;
  const LogColumns columns =
      guessed_columns(sample_of_two_kinds(), ranges_of_arrays(), wheels_ab(), direction, {12.5, 0.0});
  ASSERT_TRUE(columns.wheels);
  EXPECT_EQ(columns.wheels->left.column, "b");
  EXPECT_EQ(columns.wheels->left.sign, -1);
  EXPECT_EQ(columns.wheels->right.column, "a");
  EXPECT_EQ(columns.wheels->right.sign, 1);
  EXPECT_EQ(columns.wheels->time.offset, 0.0);
  ASSERT_TRUE(columns.scans);
  EXPECT_EQ(columns.scans->time.offset, 12.5);
  EXPECT_EQ(*columns.scans->first_angle.constant, -10.0);
  EXPECT_EQ(*columns.scans->angle_step.constant, -2.0);
}

TEST(GuessedColumns, RecordsAreToldApartByWhatTheyHold) {
  const LogColumns columns =
      guessed_columns(sample_of_two_kinds(), ranges_of_arrays(), wheels_ab(), Direction{}, ChosenClocks{});
  EXPECT_EQ(columns.wheels->records.file, "");  // one file only
  EXPECT_EQ(columns.wheels->records.message_column, "a");
  EXPECT_EQ(columns.scans->records.message_column, "mm");
}

TEST(GuessedColumns, AListOfAnglesTakesThePlaceOfFirstAndStep) {
  LogSample sample = sample_of_two_kinds();
  sample.files[0].kinds[1].arrays.push_back({"deg", "", false, {}, {{1.0, 2.0}, {1.5, 2.5}}});
  RangeGuess ranges = ranges_of_arrays();
  ranges.angle_list = 1;
  Direction direction;
  direction.mirrored = true;
  const LogColumns columns = guessed_columns(sample, ranges, {}, direction, {});
  ASSERT_TRUE(columns.scans && columns.scans->angles);
  EXPECT_EQ(columns.scans->angles->column, "deg");
  EXPECT_EQ(columns.scans->angles->sign, -1);
  EXPECT_EQ(columns.scans->angles->unit, "deg");
}

TEST(GuessedColumns, BeamsBecomeReturns) {
  RecordKind beams;
  beams.columns = {made_column("t", {1.0}), made_column("angle", {2.0}), made_column("mm", {3.0})};
  RangeGuess ranges;
  ranges.angle_column = 1;
  ranges.range_column = 2;
  ranges.values.unit = "mm";
  Direction direction;
  direction.mirrored = true;
  const LogColumns columns = guessed_columns(made_sample({beams}), ranges, {}, direction, {});
  EXPECT_FALSE(columns.scans);
  EXPECT_FALSE(columns.wheels);
  ASSERT_TRUE(columns.returns);
  EXPECT_EQ(columns.returns->angle.column, "angle");
  EXPECT_EQ(columns.returns->angle.sign, -1);
  EXPECT_EQ(columns.returns->range.unit, "mm");
  EXPECT_EQ(columns.returns->records.message_column, "");
}

}  // namespace
}  // namespace wainscot
