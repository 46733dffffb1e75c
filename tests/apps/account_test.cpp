#include "apps/account.hpp"

#include <gtest/gtest.h>

#include "tests/apps/has.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(Account, SaysWhatWasUsedAndFound) {
  const std::string text = account(sample_map(), sample_drive(), sample_origin(), "drives/hall", "flat");
  EXPECT_EQ(text.find("Verdict: good, to navigate by: 19 of 20 places lie within 6 mm of where they should"), 0U)
      << text;
  EXPECT_TRUE(has(text, "\nNext: to measure in it as well, tape one long room"));
  EXPECT_TRUE(has(text, "(simulated): 1.12 m driven in 1 min 12 s"));
  EXPECT_TRUE(has(text, "3 scans used, 2 left out because odometry does not cover them."));
  EXPECT_TRUE(has(text, "1 loop closure accepted, 1 candidate rejected"));
  EXPECT_TRUE(has(text, "lidar.heading_deg"));
  EXPECT_TRUE(has(text, "0.000 deg stated, 0.431 deg found (standard uncertainty 0.021 deg)"));
  EXPECT_TRUE(has(text, "Constants that it did not settle: lidar.range_scale."));
  EXPECT_TRUE(has(text, "Scale: set by wheels, standard uncertainty 0.11 %."));
  EXPECT_TRUE(has(text, "within 4.0 mm (worst 12 mm)"));
  EXPECT_TRUE(has(text, "Warning: the robot saw <nothing> for 2 s\n"));
  EXPECT_TRUE(has(text, "Caution: "));
}

TEST(Account, TheNextCommandDependsOnTheTruth) {
  Drive drive = sample_drive();
  const std::string without = account(sample_map(), drive, sample_origin(), "my drive", "my map");
  EXPECT_TRUE(has(without, "or try: wainscot draw 'my map' --out plan.png\n"));
  drive.truth = {{1.0, {}}, {2.0, {}}};
  const std::string with = account(sample_map(), drive, sample_origin(), "my drive", "it's");
  EXPECT_TRUE(has(with, "or try: wainscot compare 'it'\\''s' --truth 'my drive/truth.csv'\n"));
}

TEST(Account, FiguresStandInColumnsAndInThousands) {
  Map map = sample_map();
  map.quality.scans_outside_odometry = 1070;
  map.constants.push_back(map.constants.front());
  map.constants.back().name = "a constant with a very long name indeed";
  map.constants.back().observed = true;
  const std::string text = account(map, sample_drive(), sample_origin(), "d", "m");
  EXPECT_TRUE(has(text, "3 scans used, 1,070 left out"));
  EXPECT_TRUE(has(text, "\n  lidar.heading_deg                        0.000 deg stated"));
  EXPECT_TRUE(has(text, "\n  a constant with a very long name indeed  0.000 deg stated"));
}

TEST(Account, SaysWhatWouldMakeTheScaleSurer) {
  Map map = sample_map();
  map.tapes = {{"hall", {0.0, 1.0}, {4.0, 1.0}, 4.0, 0.002, 4.01, ""}};
  map.scale_remedies = {{ScaleRemedy::Kind::straight_run, 3, 3.0, 0.003, 0.0005, {}}};
  const std::string text = account(map, sample_drive(), sample_origin(), "d", "m");
  EXPECT_TRUE(has(text, "standard uncertainty 0.11 %.\nTapes: 1 of 1 tape holds the scale; along"));
  EXPECT_TRUE(has(text, "\nTo know the scale better, this would bring it: 3 straight runs of 3.00 m")) << text;
}

// 2026-11-26: a drive with the lidar mirrored gave a wreck, and the account said how sure each place of it was.
TEST(Account, OfAWreckSaysOnlyThatItIsOne) {
  Map map = sample_map();
  map.quality.matched_fraction = 0.31;
  const std::string text = account(map, sample_drive(), sample_origin(), "d", "m");
  EXPECT_EQ(text.find("Verdict: not to be used: only 31 % of the returns end on the map's own walls"), 0U) << text;
  EXPECT_TRUE(has(text, "\nNext: look for what is wrong in robot.yaml or in the log with wainscot check.\n"));
  EXPECT_FALSE(has(text, "a place is believed right"));
  EXPECT_FALSE(has(text, "Constants that"));
}

TEST(Account, SaysInWhichFrameTheMapIs) {
  EXPECT_FALSE(has(account(sample_map(), sample_drive(), sample_origin(), "d", "m"), "Frame:"));
  MapOrigin origin = sample_origin();
  origin.frame = FrameSetBy::user;
  EXPECT_TRUE(has(account(sample_map(), sample_drive(), origin, "d", "m"),
                  "Frame: yours; the drive begins at (0.00, 0.00) m, heading 0.00°.\n"));
  origin.frame = FrameSetBy::walls;
  EXPECT_TRUE(has(account(sample_map(), sample_drive(), origin, "d", "m"),
                  "Frame: turned upright; 100 % of the walls run along its axes (to 5°); the drive begins"));
}

TEST(Account, SaysThatLoopsWereNotClosed) {
  EXPECT_TRUE(has(account(sample_map(), sample_drive(), {"1", false, false}, "d", "m"), "loops were not closed"));
}

TEST(Account, OfSeveralDrivesTellsWhatEachGaveAndWhatChanged) {
  const std::string text = account(sample_map_of_two(), sample_drives(), sample_origin(), {}, "new");
  EXPECT_TRUE(has(text, "A map of 2 drives (simulated)"));
  EXPECT_TRUE(has(text, "  drive 2, tuesday: 0.25 m in 12 s, 2 scans, 1 loop closure to earlier drives\n"));
  EXPECT_TRUE(has(text, "Constants that the drives refined:\n"));
  EXPECT_TRUE(has(text, "Not as it was on the map before:\n  drive 2: new at x, y = (2.0, 1.0) m, 1.00 m long\n"));
  EXPECT_TRUE(has(text, "  drive 2: gone at x, y = (1.0, 1.0) m, 1.00 m long\n"));
  EXPECT_TRUE(has(text, "There at one time and gone at another: 1 other thing"));
  EXPECT_TRUE(has(text, "or try: wainscot draw new --out plan.png\n"));
}

}  // namespace
}  // namespace wainscot
