#include "graph/live/moment_warnings.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Scans as they come, ten a second.
class Scans {
 public:
  /// As many scans as this one, but for their numbers and times.
  std::vector<std::string> after(int count, TrackedScan scan) {
    for (int i = 0; i < count; ++i) {
      scan.scan = next_;
      scan.time_s = 0.1 * static_cast<double>(next_++);
      warnings_.add(scan);
    }
    return warnings_.now();
  }
  void leave_out(std::size_t scans) { next_ += scans; }

 private:
  MomentWarnings warnings_;
  std::size_t next_ = 0;
};

TrackedScan steady(double speed_m_s = 0.3, double turn_rad_s = 0.2) {
  TrackedScan scan;
  scan.speed = {speed_m_s, 0.0, turn_rad_s};
  return scan;
}

TrackedScan by(TrackedBy how) {
  TrackedScan scan = steady();
  scan.by = how;
  return scan;
}

using Said = std::vector<std::string>;

TEST(MomentWarnings, ASteadyDriveIsNoReasonToSpeak) { EXPECT_EQ(Scans().after(100, steady()), Said()); }

TEST(MomentWarnings, OneSecondIsLookedAt) {
  Scans scans;
  EXPECT_EQ(scans.after(9, by(TrackedBy::odometry)), Said()) << "too few to say anything";
  EXPECT_EQ(scans.after(1, by(TrackedBy::odometry)).size(), 1U);
  EXPECT_EQ(scans.after(6, steady()), Said()) << "most of them are fine again";
}

TEST(MomentWarnings, TurningTooFast) {
  Scans scans;
  EXPECT_EQ(scans.after(20, steady(0.0, -2.9)), Said());
  const Said said = scans.after(20, steady(0.0, -3.2));
  ASSERT_EQ(said.size(), 1U);
  // By 0.3 rad a scan each has to be a node; at ten scans a second that is 172 degrees a second.
  EXPECT_EQ(said.front(),
            "Turning too fast: more than 17 degrees from scan to scan; turn at less than 172 degrees a second.");
}

TEST(MomentWarnings, DrivingTooFast) {
  Scans scans;
  EXPECT_EQ(scans.after(20, steady(2.8)), Said());
  const Said said = scans.after(20, steady(-3.2));
  ASSERT_EQ(said.size(), 1U);
  EXPECT_EQ(said.front(), "Too fast: more than 0.3 m from scan to scan; drive at less than 3.0 m a second.");
}

TEST(MomentWarnings, ASlipIsSaidAtOnce) {
  Scans scans;
  scans.after(20, steady());
  const Said said = scans.after(1, by(TrackedBy::walls_only));
  ASSERT_EQ(said.size(), 1U);
  EXPECT_EQ(said.front().rfind("Wheels and scans disagree: ", 0), 0U);
  EXPECT_EQ(scans.after(9, steady()).size(), 1U) << "for a second";
  EXPECT_EQ(scans.after(1, steady()), Said());
}

TEST(MomentWarnings, NothingFits) {
  for (const TrackedBy how : {TrackedBy::odometry, TrackedBy::new_surroundings}) {
    Scans scans;
    scans.after(20, steady());
    EXPECT_EQ(scans.after(4, by(how)), Said()) << "somebody who walks past";
    const Said said = scans.after(1, by(how));
    ASSERT_EQ(said.size(), 1U);
    EXPECT_EQ(said.front().rfind("What the lidar sees fits nothing", 0), 0U);
  }
}

// What follows from another cause is not said beside it.
TEST(MomentWarnings, WhereNothingFitsNoSlipIsSaid) {
  Scans scans;
  scans.after(1, by(TrackedBy::walls_only));
  EXPECT_EQ(scans.after(9, by(TrackedBy::odometry)).size(), 1U);
}

TEST(MomentWarnings, AlongABareCorridor) {
  TrackedScan open = steady();
  open.left_open = true;
  Scans scans;
  scans.after(20, steady());
  EXPECT_EQ(scans.after(9, open), Said());
  const Said said = scans.after(1, open);
  ASSERT_EQ(said.size(), 1U);
  EXPECT_EQ(said.front().rfind("Too little seen: the walls do not tell", 0), 0U);
}

TEST(MomentWarnings, ScansWithFewReturns) {
  Scans scans;
  scans.after(20, steady());
  scans.leave_out(4);
  EXPECT_EQ(scans.after(1, steady()), Said());
  scans.leave_out(1);
  const Said said = scans.after(1, steady());
  ASSERT_EQ(said.size(), 1U);
  EXPECT_EQ(said.front(), "Too little seen: 5 of the last 15 scans have fewer than 20 returns.");
}

}  // namespace
}  // namespace wainscot
