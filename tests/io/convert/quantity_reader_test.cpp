#include "io/convert/quantity_reader.hpp"

#include <numbers>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "io/convert/motion_tables.hpp"
#include "tests/io/convert/sample_log.hpp"

namespace wainscot {
namespace {

double read_next(SampleLog& log, const QuantityReader& quantity) {
  EXPECT_EQ(log.records().next(), RecordReader::Step::record);
  double value = 0.0;
  EXPECT_TRUE(quantity.read(log.records(), value));
  return value;
}

TEST(QuantityReader, UnitSignAndOffset) {
  SampleLog log("1500\n90\n7\n", table_file(Separator::comma, false), {"1"});
  const RecordReader& records = log.records();
  EXPECT_DOUBLE_EQ(read_next(log, {"a.b", column("1", "mm", -1, 0.25), records, 1.0, 1e9}), -1.25);
  const double degree = std::numbers::pi / 180.0;
  EXPECT_EQ(read_next(log, {"a.b", column("1", "deg"), records, degree, 1e9}), 90.0);
  EXPECT_DOUBLE_EQ(read_next(log, {"a.b", constant(-2, "rad"), records, degree, 1e9}), -114.59155902616465);
}

TEST(QuantityReader, SaysWhatDoesNotFit) {
  SampleLog log("1,abc,,1e30\n", table_file(Separator::comma, false), {"1", "2", "3", "4", "9"});
  ASSERT_EQ(log.records().next(), RecordReader::Step::record);
  const auto fault = [&](const std::string& name) {
    const QuantityReader quantity("wheels.left", column(name, "m"), log.records(), 1.0, 1e8);
    double value = 0.0;
    EXPECT_EQ(quantity.read(log.records(), value), name == "1");
    return quantity.fault(log.records());
  };
  fault("1");
  EXPECT_EQ(fault("2"), "wheels.left (column '2') should be a number, but is 'abc'");
  EXPECT_EQ(fault("3"), "wheels.left (column '3') is missing in this line");
  EXPECT_NE(fault("4").find("more than can be; the unit may be another"), std::string::npos);
  EXPECT_EQ(fault("9"), "wheels.left (column '9') is missing in this line");
}

TEST(TimeReader, AClockOf32BitsGoesOn) {
  SampleLog log("4294967000\n200\n1200\n", table_file(Separator::comma, false), {"1"});
  TimeReader time("wheels.time", column("1", "us"), log.records());
  std::vector<double> times_s(3);
  for (double& time_s : times_s) {
    ASSERT_EQ(log.records().next(), RecordReader::Step::record);
    ASSERT_TRUE(time.read(log.records(), time_s));
  }
  EXPECT_NEAR(times_s[1] - times_s[0], 496e-6, 1e-9);
  EXPECT_NEAR(times_s[2] - times_s[1], 1000e-6, 1e-9);
}

// A line that was cut short in the last minute before the wrap: its number lies in the first minute.
TEST(TimeReader, ANumberCutShortIsNoWrap) {
  SampleLog log("4294967000\n42\n4294967100\n100\n", table_file(Separator::comma, false), {"1"});
  TimeReader time("wheels.time", column("1", "ms"), log.records());
  std::vector<double> times_s(4);
  for (double& time_s : times_s) {
    ASSERT_EQ(log.records().next(), RecordReader::Step::record);
    ASSERT_TRUE(time.read(log.records(), time_s));
  }
  EXPECT_NEAR(times_s[2] - times_s[0], 0.1, 1e-6);
  EXPECT_NEAR(times_s[3] - times_s[0], 0.396, 1e-6);
}

TEST(TimeReader, ATimeOfDayGoesOnAtMidnight) {
  SampleLog log("t=23:59:59.5\nt=00:00:00.25\n", table_file(Separator::comma, false), {"1"});
  const std::string table = log.filled([](const RecordReader& records, TableWriter& writer) {
    GyroColumns gyro{{}, column("1", "s"), constant(0.5, "rad/s")};
    return std::make_unique<GyroTable>(gyro, records, writer);
  });
  EXPECT_TRUE(log.faults.empty());
  EXPECT_EQ(table, "time_s,yaw_rate_rad_s\n86399.5,0.5\n86400.25,0.5\n");
}

// A clock that was set back, or a damaged number, is no such clock.
TEST(TimeReader, OtherStepsBackStay) {
  SampleLog log("3000000000\n200\n", table_file(Separator::comma, false), {"1"});
  TimeReader time("wheels.time", column("1", "us"), log.records());
  double time_s = 0.0;
  for (int i = 0; i < 2; ++i) {
    ASSERT_EQ(log.records().next(), RecordReader::Step::record);
    ASSERT_TRUE(time.read(log.records(), time_s));
  }
  EXPECT_NEAR(time_s, 200e-6, 1e-12);
}

}  // namespace
}  // namespace wainscot
