#include "io/log/gyro_reader.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class GyroReaderTest : public testing::Test {
 protected:
  std::vector<YawRate> rates(const std::string& rows) {
    FileReader file(folder_.write("gyro.csv", "time_s,yaw_rate_rad_s\n" + rows));
    return read_gyro(file, scale_, warnings_);
  }

  ReaderFolder folder_;
  double scale_ = 1.0;
  std::vector<std::string> warnings_;
};

TEST_F(GyroReaderTest, RatesAsLoggedAndTheLastOfOneTime) {
  const auto read = rates("1,0.25\n2,1\n2,-1\n3,2\n");
  ASSERT_EQ(read.size(), 3u);
  EXPECT_EQ(read[0].yaw_rate_rad_s, 0.25);
  EXPECT_EQ(read[1].yaw_rate_rad_s, -1.0);
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("1 row with the same time as the row after it"), std::string::npos);
}

// They were refused; degrees a second may be meant.
TEST_F(GyroReaderTest, RatesThatNoRobotHasAreWarnedOf) {
  EXPECT_EQ(rates("1,101\n2,-250\n").size(), 2u);
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("2 rates beyond 100 rad/s"), std::string::npos) << warnings_[0];
  EXPECT_NE(warnings_[0].find("scale: 0.0174533"), std::string::npos) << warnings_[0];
  scale_ = 0.0174533;
  warnings_.clear();
  EXPECT_EQ(rates("1,101\n2,-250\n").size(), 2u);
  EXPECT_TRUE(warnings_.empty());
}

TEST_F(GyroReaderTest, Refusals) {
  EXPECT_THROW(rates("1,32769\n"), InputError);
  EXPECT_THROW(rates("1,nan\n"), InputError);
  EXPECT_THROW(rates("2,0\n1,0\n"), InputError);
}

}  // namespace
}  // namespace wainscot
