#include "io/log/marker_reader.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class MarkerReaderTest : public testing::Test {
 protected:
  std::vector<MarkerSighting> markers(const std::string& text) {
    FileReader file(folder_.write("markers.csv", text));
    return read_markers(file, warnings_);
  }
  std::vector<SurveyedMarker> survey(const std::string& text) {
    FileReader file(folder_.write("marker_map.csv", text));
    return read_marker_map(file, warnings_);
  }

  ReaderFolder folder_;
  std::vector<std::string> warnings_;
};

TEST_F(MarkerReaderTest, Sightings) {
  const auto seen = markers("heading_rad,y_m,x_m,marker,time_s\n0.5,2,1,door,10\n,-4,3,Küche 2,10\n");
  ASSERT_EQ(seen.size(), 2u);
  EXPECT_EQ(seen[0].time_s, 10.0);
  EXPECT_EQ(seen[0].marker, "door");
  EXPECT_EQ(seen[0].x_m, 1.0);
  EXPECT_EQ(seen[0].y_m, 2.0);
  EXPECT_EQ(seen[0].heading_rad, 0.5);
  EXPECT_EQ(seen[1].marker, "Küche 2");
  EXPECT_EQ(seen[1].heading_rad, std::nullopt);
}

TEST_F(MarkerReaderTest, TheSurveyMayLackTheLastLineEnd) {
  const auto places = survey("marker,x_m,y_m,heading_rad\na,5300000.25,1,\nb,7,8,1.5");
  ASSERT_EQ(places.size(), 2u);
  EXPECT_EQ(places[0].x_m, 5300000.25);
  EXPECT_EQ(places[0].heading_rad, std::nullopt);
  EXPECT_EQ(places[1].heading_rad, 1.5);
  EXPECT_EQ(survey("marker,x_m,y_m\na,0,0\n").front().heading_rad, std::nullopt);
}

TEST_F(MarkerReaderTest, Refusals) {
  EXPECT_THROW(markers("time_s,marker,x_m,y_m\n2,a,0,0\n1,a,0,0\n"), InputError);
  EXPECT_THROW(markers("time_s,marker,x_m,y_m\n2,,0,0\n"), InputError);
  EXPECT_THROW(markers("time_s,marker,x_m,y_m\n2,a,1000,0\n"), InputError);
  EXPECT_THROW(markers("time_s,marker,x_m,y_m\n2,a\x01,0,0\n"), InputError);
  EXPECT_THROW(survey("marker,x_m,y_m\na,0,0\na,0,0\n"), InputError);
  EXPECT_THROW(survey("marker,x_m,y_m\na,0,\n"), InputError);
}

}  // namespace
}  // namespace wainscot
