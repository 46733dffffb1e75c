#include "io/results/check_json.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace wainscot {
namespace {

TEST(CheckJson, HasFindingsConstantsAndTheClosingError) {
  LogCheck check;
  check.contents.duration_s = 12.5;
  check.contents.scans.rows = 80;
  Finding finding;
  finding.fault = Fault::mirrored;
  finding.what = "the lidar's angles run the other way round";
  finding.confidence = 0.5;
  finding.lines = {"lidar.mirrored: true"};
  finding.or_else = Fault::swapped;
  finding.time_s = 3.25;
  finding.place = Pose2{1.0, 2.0, 0.5};
  check.findings = {finding};
  check.constants = {{"lidar.x_m", "m", 0.04, 0.05123, 0.0012}};
  check.closing = ClosingError{};
  check.closing->cause = ClosingCause::slip;
  Drive drive;
  drive.name = "d\xFF";  // no UTF-8
  drive.wheels = {{0.0, 0, 0}};
  const auto json = nlohmann::json::parse(check_json(check, drive, true));
  EXPECT_EQ(json["wainscot_check"], 1);
  EXPECT_EQ(json["drive"]["duration_s"], 12.5);
  EXPECT_EQ(json["drive"]["scans"]["rows"], 80);
  EXPECT_EQ(json["findings"][0]["fault"], "mirrored");
  EXPECT_EQ(json["findings"][0]["or_else"], "swapped");
  EXPECT_EQ(json["findings"][0]["robot_yaml"][0], "lidar.mirrored: true");
  EXPECT_EQ(json["findings"][0]["place"]["y_m"], 2.0);
  EXPECT_EQ(json["constants"][0]["found"], 0.0512);
  EXPECT_EQ(json["constants"][0]["standard_uncertainty"], 0.0012);
  EXPECT_EQ(json["closing"]["cause"], "slip");
}

TEST(CheckJson, ADriveThatDoesNotCloseHasNull) {
  EXPECT_TRUE(nlohmann::json::parse(check_json({}, {}, false))["closing"].is_null());
}

}  // namespace
}  // namespace wainscot
