#include "apps/compared_side.hpp"

#include <fstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/map/map_folder.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

class ComparedSideTest : public testing::Test {
 protected:
  ComparedSideTest() {
    write_map(sample_map(), sample_drive(), sample_origin(), folder_.path() / "one", false);
    write_map(sample_map_of_two(), sample_drives(), sample_origin(), folder_.path() / "two", false);
  }

  ComparedSide side(const std::string& name) const {
    ComparedSide read = read_side(folder_.path() / name);
    if (read.is_map) read.graph = read_graph(folder_.path() / name);
    return read;
  }

  ReaderFolder folder_;
};

TEST_F(ComparedSideTest, AMapHasThePathsOfAllItsDrives) {
  ComparedSide two = side("two/");
  EXPECT_EQ(two.name, "two");
  EXPECT_TRUE(two.is_map);
  EXPECT_TRUE(two.simulated);
  EXPECT_EQ(two.drives(), 2);
  choose_drive(two, 2);
  ASSERT_EQ(two.found.size(), 2U);
  EXPECT_EQ(two.found[1].pose.x_m, 0.75);
  EXPECT_EQ(two.odometry[1].pose.x_m, 0.8);
  EXPECT_THROW(choose_drive(two, 3), InputError);
  EXPECT_THROW(side("three"), InputError);
}

TEST_F(ComparedSideTest, ATableOfOnePathHasItWhateverItsNumber) {
  folder_.write("path.csv", "time_s,x_m,y_m,heading_rad\n1,0,0,0\n2,0.5,0,0\n");
  ComparedSide table = side("path.csv");
  EXPECT_FALSE(table.is_map);
  EXPECT_FALSE(table.simulated);
  choose_drive(table, 2);
  ASSERT_EQ(table.found.size(), 2U);
  EXPECT_EQ(table.found[1].pose.x_m, 0.5);
  EXPECT_TRUE(table.odometry.empty());
  // Beside the files of a map of a simulated drive it is one of it.
  EXPECT_TRUE(side("one/trajectory.csv").simulated);
}

TEST_F(ComparedSideTest, TwoMapsAreComparedByADriveThatIsInBoth) {
  ComparedSide first = side("two");
  ComparedSide second = side("one");
  EXPECT_TRUE(choose_common_drive(first, second, 0));
  EXPECT_EQ(first.drive, 1);
  EXPECT_EQ(second.drive, 1);
  EXPECT_EQ(second.found.size(), 3U);

  first = side("two");
  second = side("one");
  EXPECT_FALSE(choose_common_drive(first, second, 2));
  EXPECT_EQ(first.drive, 2);
  EXPECT_EQ(first.found.size(), 2U);
  EXPECT_EQ(second.drive, 1);
}

}  // namespace
}  // namespace wainscot
