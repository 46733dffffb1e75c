#include "apps/convert_account.hpp"

#include <string>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

Conversion small_conversion() {
  Conversion conversion;
  ConvertedTable wheels;
  wheels.section = "wheels";
  wheels.file = "wheels.csv";
  wheels.log = "robot.log";
  wheels.rows = 1001;
  wheels.first_s = 1.0;
  wheels.last_s = 21.0;
  ConvertedTable scans = wheels;
  scans.section = "scans";
  scans.file = "scans.csv";
  scans.rows = 201;
  scans.last_s = 31.0;
  conversion.tables = {wheels, scans};
  conversion.beams = 360;
  ConvertedLog log;
  log.log = "robot.log";
  log.others = {{"BAT", 30}, {"HELLO", 1}};
  conversion.logs = {log};
  return conversion;
}

TEST(ConvertAccount, TellsRowsRatesAndWhatWasNotUsed) {
  const std::string text = convert_account(small_conversion(), RobotFile::given, "my drive");
  EXPECT_EQ(text,
            "my drive: a drive of 30 s.\n"
            "  wheels.csv: 1,001 rows, 50.0 a second, 1.00 to 21.00 s, from robot.log\n"
            "  scans.csv: 201 scans of 360 ranges, 6.7 a second, 1.00 to 31.00 s, from robot.log\n"
            "  robot.log: 31 lines of other kinds not used: BAT (30), HELLO (1)\n"
            "Next:\n  wainscot check 'my drive'\n");
}

TEST(ConvertAccount, TellsWhereTheRobotIsFrom) {
  EXPECT_NE(convert_account(small_conversion(), RobotFile::starter, "d").find("one to begin with"), std::string::npos);
  EXPECT_NE(convert_account(small_conversion(), RobotFile::kept, "d").find("the one that was there"),
            std::string::npos);
}

TEST(ConvertAccount, ShowsTheMostFrequentKinds) {
  Conversion conversion = small_conversion();
  for (std::size_t i = 0; i < 20; ++i) conversion.logs[0].others["K" + std::to_string(i)] = 100 + i;
  const std::string text = convert_account(conversion, RobotFile::given, "d");
  EXPECT_NE(text.find("not used: K19 (119), K18 (118)"), std::string::npos) << text;
  EXPECT_EQ(text.find("HELLO"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
