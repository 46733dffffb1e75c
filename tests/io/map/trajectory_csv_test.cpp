#include "io/map/trajectory_csv.hpp"

#include <gtest/gtest.h>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(TrajectoryCsv, OptimisedPosesWithWrappedHeadings) {
  EXPECT_EQ(trajectory_csv(sample_map().trajectory),
            "time_s,x_m,y_m,heading_rad,drive\n"
            "1.000000,0.000000,0.000000,0.000000,1\n"
            "1.500000,0.500000,0.000000,0.100000,1\n"
            "2.000000,1.000000,0.250000,0.216815,1\n");
}

TEST(TrajectoryCsv, OdometryHasTheSameRows) {
  EXPECT_EQ(odometry_csv(sample_map().trajectory),
            "time_s,x_m,y_m,heading_rad,drive\n"
            "1.000000,0.000000,0.000000,0.000000,1\n"
            "1.500000,0.510000,0.020000,0.120000,1\n"
            "2.000000,1.020000,0.300000,0.250000,1\n");
}

}  // namespace
}  // namespace wainscot
