#include "apps/growing_map.hpp"

#include <filesystem>
#include <optional>
#include <utility>

#include <gtest/gtest.h>

#include "apps/mapping/drive_to_map.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/apps/comes_true.hpp"
#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

class GrowingMapTest : public CommandLine {
 protected:
  /// What a round that is asked for comes to.
  static MappedSoFar round(GrowingMap& map) {
    map.ask();
    std::optional<MappedSoFar> found;
    EXPECT_TRUE(comes_true([&] { return (found = map.take()).has_value(); }));
    EXPECT_FALSE(map.take()) << "it is given once";
    return std::move(found).value();
  }
};

// Nothing that is shown is worse than what build would give of the same rows.
TEST_F(GrowingMapTest, MapsTheDriveSoFarAsBuildDoes) {
  GrowingMap map(drive_, 0.05);
  const MappedSoFar found = round(map);
  ASSERT_TRUE(found.map) << found.why_not;
  const Drive drive = drive_to_map(drive_);
  const Map whole = build_map(drive, {});
  ASSERT_EQ(found.map->graph.nodes.size(), whole.graph.nodes.size());
  for (std::size_t i = 0; i < whole.graph.nodes.size(); ++i) {
    EXPECT_EQ(found.map->graph.nodes[i].pose.x_m, whole.graph.nodes[i].pose.x_m) << i;
  }
  const Node& last = whole.graph.nodes.back();
  EXPECT_EQ(found.last_node.pose.x_m, last.pose.x_m);
  EXPECT_EQ(found.last_node.time_s, drive.scans[last.scan].time_s);
  EXPECT_EQ(found.robot.drive->track_width_m, 0.3);
}

TEST_F(GrowingMapTest, TheNextRoundSeesWhatHasCome) {
  write("scans.csv", scans(15, true));
  GrowingMap map(drive_, 0.1);
  const MappedSoFar early = round(map);
  ASSERT_TRUE(early.map) << early.why_not;
  write("scans.csv", scans(drive_scans, true));
  const MappedSoFar later = round(map);
  ASSERT_TRUE(later.map) << later.why_not;
  EXPECT_GT(later.last_node.time_s, early.last_node.time_s);
  EXPECT_EQ(later.map->grid.frame.cell_size_m, 0.1);
}

TEST_F(GrowingMapTest, SaysWhyThereIsNoMapYet) {
  std::filesystem::remove(drive_ / "scans.csv");
  GrowingMap map(drive_, 0.05);
  const MappedSoFar found = round(map);
  EXPECT_FALSE(found.map);
  EXPECT_NE(found.why_not.find("scans.csv"), std::string::npos) << found.why_not;
  write("scans.csv", scans(drive_scans, true));
  EXPECT_TRUE(round(map).map) << "and tries again";
}

TEST_F(GrowingMapTest, UnaskedItDoesNothingAndARoundThatRunsIsGivenUp) {
  {
    GrowingMap map(drive_, 0.05);
    EXPECT_FALSE(map.take());
  }
  GrowingMap running(drive_, 0.05);
  running.ask();
}

}  // namespace
}  // namespace wainscot
