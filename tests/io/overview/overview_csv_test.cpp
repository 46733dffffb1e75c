#include "io/overview/overview_csv.hpp"

#include <algorithm>
#include <sstream>

#include <gtest/gtest.h>

#include "tests/io/overview/sample_jobs.hpp"

namespace wainscot {
namespace {

Overview sample_overview() {
  Overview overview;
  overview.rows = {sample_row("hall, old", 0.288), sample_row("kitchen", 0.289)};
  overview.rows[1].state = RowState::failed;
  overview.rows[1].status = 2;
  overview.rows[1].sentence = "no counts";
  overview.rows[1].constants.clear();
  overview.constants = {{"lidar.x_m", "m"}, {"odometry's way, true / recorded", "1"}, {"drive.track_width_m", "m"}};
  overview.fleet = fleet_of(overview.rows);
  return overview;
}

TEST(OverviewCsv, HasARowADriveAndTwoColumnsAConstant) {
  std::istringstream lines(overview_csv(sample_overview()));
  std::string header;
  std::string hall;
  std::string kitchen;
  std::getline(lines, header);
  std::getline(lines, hall);
  std::getline(lines, kitchen);
  EXPECT_EQ(header.substr(0, 38), "name,state,status,verdict,sentence,pat");
  EXPECT_NE(header.find(",lidar.x_m,sd_lidar.x_m,\"odometry's way, true / recorded\","), std::string::npos);
  EXPECT_EQ(hall.rfind("\"hall, old\",mapped,,good,because of it,71.5,333.25,59,0.003,0.004,0.001,wheels,0,,,2,", 0),
            0U)
      << hall;
  EXPECT_TRUE(hall.ends_with(",1,yes,,abc,,,0.059,0.0002,,,0.288,0.001")) << hall;
  EXPECT_EQ(kitchen.rfind("kitchen,failed,2,", 0), 0U) << kitchen;
  EXPECT_TRUE(kitchen.ends_with(",,,,,,")) << kitchen;
}

}  // namespace
}  // namespace wainscot
