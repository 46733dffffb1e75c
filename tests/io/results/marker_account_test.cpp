#include "io/results/marker_account.hpp"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace wainscot {
namespace {

MapMarkers two_markers() {
  MapMarkers markers;
  markers.markers.push_back({"door", {1.0, 2.0, 0.5}, true, 0.004, 3, 0.01, true, 0.003});
  markers.markers.push_back({"sofa", {3.0, 4.0, 0.0}, false, 0.006, 1, 0.03, false, 0.0});
  markers.left_out.push_back({7, 12.5, "door", "2.00 m from where 3 other sightings put this marker"});
  markers.frame_by_survey = true;
  return markers;
}

TEST(MarkerAccount, SumsAreRootMeanSquares) {
  const MarkerSums sums = sum_up(two_markers());
  EXPECT_EQ(sums.sightings, 4u);
  EXPECT_NEAR(sums.sighting_rms_m, 0.0173205, 1e-6);  // sqrt((3 * 0.01^2 + 0.03^2) / 4)
  EXPECT_EQ(sums.surveyed, 1u);
  EXPECT_NEAR(sums.survey_rms_m, 0.003, 1e-12);
}

TEST(MarkerAccount, SentencesTellWhatWasUsedAndWhatNot) {
  EXPECT_EQ(marker_sentences(MapMarkers{}), "");
  EXPECT_EQ(marker_sentences(two_markers()),
            "2 markers from 4 sightings, 17 mm (root mean square) off their places; 1 row left out. The map's frame is "
            "that of marker_map.csv: 1 marker surveyed, 3.0 mm (root mean square) off the survey.");
}

TEST(MarkerAccount, JsonNamesEveryRowThatWasLeftOut) {
  const auto json = markers_json(two_markers());
  EXPECT_EQ(json["frame_by_survey"], true);
  EXPECT_EQ(json["places"].size(), 2u);
  EXPECT_EQ(json["places"][0]["survey_difference_m"], 0.003);
  EXPECT_FALSE(json["places"][1].contains("heading_rad"));
  EXPECT_FALSE(json["places"][1].contains("survey_difference_m"));
  EXPECT_EQ(json["left_out"][0]["time_s"], 12.5);
  EXPECT_EQ(json["left_out"][0]["marker"], "door");
}

}  // namespace
}  // namespace wainscot
