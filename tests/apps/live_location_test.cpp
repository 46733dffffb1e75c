#include "apps/live_location.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "graph/motion/usable_drive.hpp"
#include "io/log/drive_reader.hpp"
#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

LocatedScan answered(Answer answer, const Pose2& pose) {
  LocatedScan scan;
  scan.time_s = 12.34;
  scan.location.answer = answer;
  if (answer == Answer::lost) return scan;
  PlaceInMap place;
  place.pose = pose;
  place.covariance = Eigen::Vector3d(36e-6, 64e-6, 1e-6).asDiagonal();
  scan.location.places.push_back(place);
  return scan;
}

TEST(LiveLocation, TheStateIsALine) {
  EXPECT_EQ(state_text(answered(Answer::found, {1.234, 0.4, 0.5 * std::acos(-1.0)})),
            "12.3 s: x 1.23 m, y 0.40 m, heading 90 degrees, sure to 10 mm");
  EXPECT_EQ(state_text(answered(Answer::ambiguous, {-1.0, 0.0, 0.0})),
            "12.3 s: x -1.00 m, y 0.00 m, heading 0 degrees, not sure yet");
  EXPECT_EQ(state_text(answered(Answer::lost, {})), "12.3 s: lost, nothing in the map fits");
  EXPECT_LT(state_text(answered(Answer::found, {-1234.5, -1234.5, -3.0})).size(), 80U);
}

class LiveLocationTest : public CommandLine {
 protected:
  void build() {
    write("scans.csv", scans_of_cut_room(drive_scans));
    ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
    saved_ = read_map(folder_.path() / "flat");
  }
  std::vector<LocatedScan> located(const KnownRobot& robot) {
    FollowingOptions options;
    options.until_idle_s = 0.1;
    std::vector<LocatedScan> told;
    locate_live(
        known_map(saved_), robot, drive_, options, [&](const LocatedScan& here) { told.push_back(here); },
        [&](const std::string& warning) { warnings_.push_back(warning); });
    return told;
  }

  SavedMap saved_;
  std::vector<std::string> warnings_;
};

TEST_F(LiveLocationTest, AnswersAsOnTheRecordedDrive) {
  build();
  const KnownRobot robot = growing_robot(drive_, {}, saved_);
  EXPECT_TRUE(robot.is_of_the_map);
  const std::vector<LocatedScan> live = located(robot);
  const KnownRobot recorded = with_found_constants(usable_drive(read_drive(drive_)), saved_);
  const std::vector<LocatedScan> whole =
      locate_drive(known_map(saved_), recorded.drive, recorded.lidar, recorded.options);
  ASSERT_EQ(live.size(), whole.size());
  for (std::size_t i = 0; i < whole.size(); ++i) {
    EXPECT_EQ(live[i].location.answer, whole[i].location.answer) << i;
    EXPECT_NEAR(live[i].time_s, whole[i].time_s, 1e-6) << i;
  }
  EXPECT_EQ(live.back().location.answer, Answer::found);
  EXPECT_TRUE(warnings_.empty());
}

TEST_F(LiveLocationTest, WithoutTheWheelsConstantsItCannot) {
  build();
  KnownRobot robot = growing_robot(drive_, {}, saved_);
  robot.drive.robot.drive.reset();
  EXPECT_THROW(located(robot), PoorData);
}

TEST_F(LiveLocationTest, ATornRowIsSaidAndTheRestIsLocated) {
  build();
  const std::string rows = scans_of_cut_room(drive_scans);
  write("scans.csv", rows.substr(0, rows.find("\n2.0,") + 1) + "1.95,1.0\n" + rows.substr(rows.find("\n2.0,") + 1));
  const std::vector<LocatedScan> live = located(growing_robot(drive_, {}, saved_));
  EXPECT_EQ(live.size(), static_cast<std::size_t>(drive_scans));
  ASSERT_EQ(warnings_.size(), 1U);
  EXPECT_NE(warnings_.front().find("scans.csv:20: "), std::string::npos) << warnings_.front();
}

}  // namespace
}  // namespace wainscot
