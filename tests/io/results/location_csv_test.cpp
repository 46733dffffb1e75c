#include "io/results/location_csv.hpp"

#include <numbers>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

PlaceInMap place_at(const Pose2& pose) {
  PlaceInMap place;
  place.pose = pose;
  place.covariance = Eigen::Vector3d(0.01 * 0.01, 0.02 * 0.02, 0.003 * 0.003).asDiagonal();
  return place;
}

std::vector<LocatedScan> three_answers() {
  LocatedScan lost{0, 1.0, {}};
  LocatedScan ambiguous{1, 1.5, {Answer::ambiguous, {place_at({1.0, 2.0, 0.0}), place_at({-4.0, 0.5, 0.25})}}};
  LocatedScan found{2, 2.0, {Answer::found, {place_at({0.5, -1.25, 0.5 * std::numbers::pi})}}};
  return {lost, ambiguous, found};
}

TEST(LocationCsv, HasARowAScanAndEmptyCellsWhereLost) {
  EXPECT_EQ(location_csv(three_answers(), false),
            "time_s,x_m,y_m,heading_rad,sd_x_m,sd_y_m,sd_heading_rad,answer\n"
            "1.000000,,,,,,,lost\n"
            "1.500000,1.0000,2.0000,0.00000,0.0100,0.0200,0.00300,ambiguous\n"
            // The robot looks along y: what is uncertain across it is x.
            "2.000000,0.5000,-1.2500,1.57080,0.0200,0.0100,0.00300,found\n");
}

TEST(LocationCsv, ItsRowsAndItsColumnsAreTheWhole) {
  std::string text = kLocationColumns;
  for (const LocatedScan& scan : three_answers()) text += location_rows({scan}, true);
  EXPECT_EQ(text, location_csv(three_answers(), true));
  EXPECT_EQ(location_rows({}, false), "");
}

TEST(LocationCsv, ListsAllPlacesOnRequest) {
  const std::string text = location_csv(three_answers(), true);
  EXPECT_NE(text.find("1.500000,-4.0000,0.5000,0.25000,"), std::string::npos) << text;
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 5);
}

}  // namespace
}  // namespace wainscot
