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
    return read_gyro(file, warnings_);
  }

  ReaderFolder folder_;
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

TEST_F(GyroReaderTest, Refusals) {
  EXPECT_THROW(rates("1,101\n"), InputError);
  EXPECT_THROW(rates("1,nan\n"), InputError);
  EXPECT_THROW(rates("2,0\n1,0\n"), InputError);
}

}  // namespace
}  // namespace wainscot
