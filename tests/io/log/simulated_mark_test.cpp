#include "io/log/simulated_mark.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/grid/grid_writer.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(SimulatedMark, IsACommentAtTheTopOfRobotOrTruth) {
  const ReaderFolder folder;
  EXPECT_FALSE(is_marked_simulated(folder.path()));
  folder.write("robot.yaml", "wainscot_robot: 1\n# simulated\n");
  EXPECT_FALSE(is_marked_simulated(folder.path()));
  folder.write("truth.csv", "# made by hand\n# Simulated drive\ntime_s,x_m,y_m,heading_rad\n");
  EXPECT_TRUE(is_marked_simulated(folder.path()));
  folder.remove("truth.csv");
  folder.write("robot.yaml", "# A simulated robot.\nwainscot_robot: 1\n");
  EXPECT_TRUE(is_marked_simulated(folder.path()));
}

TEST(SimulatedMark, AMapRemembersIt) {
  const ReaderFolder folder;
  MapOrigin origin = sample_origin();
  folder.write("grid.yaml", grid_yaml(sample_map().grid.frame, {}, sample_drive(), origin));
  EXPECT_TRUE(is_map_of_simulated_drive(folder.path()));
  origin.simulated = false;
  folder.write("grid.yaml", grid_yaml(sample_map().grid.frame, {}, sample_drive(), origin));
  EXPECT_FALSE(is_map_of_simulated_drive(folder.path()));
  // The words of the YAML library quote the character, here a line's end.
  folder.write("grid.yaml", "drives: \"\\\n\\\r\"\n");
  try {
    is_map_of_simulated_drive(folder.path());
    ADD_FAILURE() << "is taken for YAML";
  } catch (const InputError& error) {
    EXPECT_EQ(std::string(error.what()).find_first_of("\r\n"), std::string::npos) << error.what();
  }
  folder.remove("grid.yaml");
  EXPECT_THROW(is_map_of_simulated_drive(folder.path()), InputError);
}

}  // namespace
}  // namespace wainscot
