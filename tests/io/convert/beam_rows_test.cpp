#include "io/convert/beam_rows.hpp"

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

RecordKind kind_of(std::vector<double> angles) {
  RecordKind kind;
  kind.records = angles.size();
  std::vector<double> counter(angles.size());
  for (std::size_t i = 0; i < counter.size(); ++i) counter[i] = static_cast<double>(i);
  kind.columns = {made_column("1", counter), made_column("2", std::move(angles))};
  return kind;
}

std::vector<double> rounds(double step, double first, int beams, int turns, int lost_every = 0) {
  std::vector<double> angles;
  for (int t = 0; t < turns; ++t) {
    for (int b = 0; b < beams; ++b) {
      if (lost_every == 0 || (b + t) % lost_every != 0) angles.push_back(first + step * b);
    }
  }
  return angles;
}

TEST(BeamRows, DegreesRadiansAndNumbers) {
  const auto degrees = beam_angle_columns(kind_of(rounds(0.9, 0.0, 400, 10)));
  ASSERT_EQ(degrees.size(), 1U);
  EXPECT_EQ(degrees[0].column, 1U);
  EXPECT_TRUE(degrees[0].degrees);
  EXPECT_FALSE(degrees[0].numbered);
  EXPECT_EQ(degrees[0].starts.size(), 10U);
  EXPECT_EQ(degrees[0].per_turn, 400U);
  const auto radians = beam_angle_columns(kind_of(rounds(-0.0157, 3.14, 400, 10)));
  ASSERT_EQ(radians.size(), 1U);
  EXPECT_FALSE(radians[0].degrees);
  const auto numbers = beam_angle_columns(kind_of(rounds(1.0, 0.0, 500, 10)));
  ASSERT_EQ(numbers.size(), 1U);
  EXPECT_TRUE(numbers[0].numbered);
  EXPECT_EQ(numbers[0].per_turn, 500U);
}

TEST(BeamRows, RowsMayBeLost) {
  const auto found = beam_angle_columns(kind_of(rounds(1.0, 0.0, 450, 12, 7)));
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found[0].starts.size(), 12U);
  EXPECT_EQ(found[0].per_turn, 450U);
}

TEST(BeamRows, ADamagedDigitDoesNotSpoilThem) {
  std::vector<double> angles = rounds(0.9, 0.0, 400, 30);
  angles[7000] = 959.4;
  const auto found = beam_angle_columns(kind_of(angles));
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found[0].per_turn, 400U);
}

TEST(BeamRows, NeitherATimeNorACountRunsRound) {
  EXPECT_TRUE(beam_angle_columns(kind_of(rounds(20.0, 0.0, 4000, 1))).empty());
}

}  // namespace
}  // namespace wainscot
