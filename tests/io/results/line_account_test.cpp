#include "io/results/line_account.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace wainscot {
namespace {

Map map_with_two_lines() {
  Map map;
  MappedLine hall{"hall", {1.0, 2.0}, {4.0, 2.0}, 0.004, 0.001, 3, 6.0, 0.003, true, 0.002, 0.004};
  MappedLine door{"door", {0.0, 0.0}, {0.0, 3.0}, 0.006, 0.002, 1, 3.0, 0.006, false, 0.0, 0.0};
  map.lines.lines = {door, hall};
  map.lines.left_out.push_back({7, 12.5, 16.0, "door", "2.00 m from where 3 other stretches put this line"});
  map.lines.noise_m = 0.005;
  map.lines.aside_m = -0.002;
  return map;
}

TEST(LineAccount, SentencesTellWhatWasUsedAndWhatNot) {
  EXPECT_EQ(line_sentences(Map{}), "");
  Map map = map_with_two_lines();
  const std::string plain =
      "2 lines followed 4 times, 9.00 m in all, 4.2 mm (root mean square) off them; 1 row left out. 1 line measured, "
      "2.0 mm at the most off the survey.";
  EXPECT_EQ(line_sentences(map), plain);
  map.markers.frame_by_survey = true;
  EXPECT_EQ(line_sentences(map), plain + " The map's frame is that of line_map.csv.");
  MappedMarker marker;
  marker.surveyed = true;
  map.markers.markers = {marker};  // then it is told with the markers
  EXPECT_EQ(line_sentences(map), plain);
}

TEST(LineAccount, TheFileOfTheFrame) {
  Map map;
  EXPECT_STREQ(survey_file(map), "marker_map.csv");
  map.lines = map_with_two_lines().lines;
  EXPECT_STREQ(survey_file(map), "line_map.csv");
}

TEST(LineAccount, JsonNamesEveryRowThatWasLeftOut) {
  const auto json = lines_json(map_with_two_lines().lines);
  EXPECT_EQ(json["noise_m"], 0.005);
  EXPECT_EQ(json["aside_m"], -0.002);
  EXPECT_EQ(json["places"].size(), 2u);
  EXPECT_EQ(json["places"][1]["from"]["x_m"], 1.0);
  EXPECT_EQ(json["places"][1]["survey_difference_m"], 0.002);
  EXPECT_FALSE(json["places"][0].contains("survey_difference_m"));
  EXPECT_EQ(json["left_out"][0]["from_s"], 12.5);
  EXPECT_EQ(json["left_out"][0]["line"], "door");
}

}  // namespace
}  // namespace wainscot
