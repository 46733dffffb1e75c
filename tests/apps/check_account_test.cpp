#include "apps/check_account.hpp"

#include <gtest/gtest.h>

#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

LogCheck one_finding() {
  LogCheck check;
  check.contents.duration_s = 61.0;
  check.contents.way_m = 12.3;
  Finding finding;
  finding.fault = Fault::lidar_turned;
  finding.what = "the lidar is turned by 90.0° from where robot.yaml has it";
  finding.figure = "heading 90.0°";
  finding.confidence = 0.9999;
  finding.lines = {"lidar.heading_deg: 90.0"};
  check.findings = {finding};
  return check;
}

TEST(CheckAccount, TellsTheFindingItsLineAndWhatComesNext) {
  Drive drive;
  drive.name = "hall";
  const std::string text = check_account(one_finding(), drive, true, "hall");
  EXPECT_TRUE(has(text, "hall (simulated): 1 min 01 s, 12.3 m driven"));
  EXPECT_TRUE(has(text, "1. The lidar is turned by 90.0°"));
  EXPECT_TRUE(has(text, "confidence 99.99 %"));
  EXPECT_TRUE(has(text, "robot.yaml, under lidar:   heading_deg: 90.0"));
  EXPECT_TRUE(has(text, "wainscot check hall"));
  EXPECT_TRUE(has(text, "Caution: "));
}

TEST(CheckAccount, NothingFoundLeadsToBuild) {
  LogCheck check = one_finding();
  check.findings.clear();
  const std::string text = check_account(check, {}, false, "hall");
  EXPECT_TRUE(has(text, "Nothing is wrong"));
  EXPECT_TRUE(has(text, "wainscot build hall"));
}

TEST(CheckAccount, SaysWhatTheClosingErrorComesFrom) {
  LogCheck check;
  check.closing = ClosingError{};
  check.closing->error = {0.5, -0.25, 0.1};
  check.closing->cause = ClosingCause::constants;
  const std::string text = check_account(check, {}, false, "d");
  EXPECT_TRUE(has(text, "0.500 m"));
  EXPECT_TRUE(has(text, "-0.250 m"));
  EXPECT_TRUE(has(text, "constants are to blame"));
}

}  // namespace
}  // namespace wainscot
