#include "io/map/summary_json.hpp"

#include <algorithm>
#include <limits>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(SummaryJson, HasTheFigures) {
  const auto json = nlohmann::json::parse(summary_json(sample_map(), sample_drive(), sample_origin()));
  EXPECT_EQ(json["wainscot_summary"], 1);
  EXPECT_EQ(json["program_version"], "9.8.7");
  EXPECT_EQ(json["drive"]["simulated"], true);
  EXPECT_EQ(json["drive"]["path_length_m"], 1.12);
  EXPECT_EQ(json["drive"]["scans_outside_odometry"], 2);
  EXPECT_EQ(json["graph"]["nodes"], 2);
  EXPECT_EQ(json["graph"]["match_edges"], 1);
  EXPECT_EQ(json["graph"]["candidates_accepted"], 1);
  EXPECT_EQ(json["graph"]["candidates_rejected"], 1);
  EXPECT_EQ(json["quality"]["scale_set_by"], "wheels");
  EXPECT_EQ(json["constants"][0]["found"], 0.431);
  EXPECT_EQ(json["grid"]["lower_left_x_m"], -1.85);
  EXPECT_EQ(json["caution"], map_caution);
}

TEST(SummaryJson, EachWarningOnce) {
  const auto json = nlohmann::json::parse(summary_json(sample_map(), sample_drive(), sample_origin()));
  EXPECT_EQ(json["warnings"].size(), 2U);
  EXPECT_EQ(json["warnings"][0], "wheels.csv: an unfinished last row was dropped");
}

TEST(SummaryJson, HasTapesOnlyWhereThereAreSome) {
  Map map = sample_map();
  EXPECT_FALSE(nlohmann::json::parse(summary_json(map, sample_drive(), sample_origin())).contains("tapes"));
  map.tapes = {{"hall", {0.0, 1.0}, {4.0, 1.0}, 4.0, 0.002, 4.01, ""}};
  map.scale_remedies = {{ScaleRemedy::Kind::straight_run, 3, 3.0, 0.003, 0.0005, {}}};
  const auto json = nlohmann::json::parse(summary_json(map, sample_drive(), sample_origin()));
  EXPECT_EQ(json["tapes"][0]["name"], "hall");
  EXPECT_EQ(json["scale_remedies"][0]["scale_sd"], 0.0005);
}

TEST(SummaryJson, UnknownFigureIsNullAndANameOfAnyBytesIsText) {
  Map map = sample_map();
  map.quality.scale_sd = std::numeric_limits<double>::infinity();
  Drive drive = sample_drive();
  drive.name = "caf\xE9";
  const auto json = nlohmann::json::parse(summary_json(map, drive, sample_origin()));
  EXPECT_TRUE(json["quality"]["scale_sd"].is_null());
  EXPECT_EQ(json["drive"]["name"], "caf\xEF\xBF\xBD");
}

TEST(SummaryJson, TellsOfEachDriveAndWhatChangedBetweenThem) {
  const auto json = nlohmann::json::parse(summary_json(sample_map_of_two(), sample_drives(), sample_origin()));
  ASSERT_EQ(json["drives"].size(), 2U);
  EXPECT_EQ(json["drives"][1]["name"], "tuesday");
  EXPECT_EQ(json["drives"][1]["path_length_m"], 0.25);
  EXPECT_EQ(json["drives"][1]["scans_used"], 2);
  EXPECT_EQ(json["changes"][2]["since_drive"], 2);
  EXPECT_EQ(json["changes"][2]["now"], "there");
  EXPECT_EQ(json["changes"][3]["now"], "gone");
  EXPECT_FALSE(json["changes"][3].contains("visits_gone"));
  EXPECT_EQ(json["changes"][0]["visits_gone"], 3);
  EXPECT_FALSE(json["changes"][0].contains("since_drive"));
  EXPECT_TRUE(std::find(json["warnings"].begin(), json["warnings"].end(), "tuesday: gyro.csv: odd") !=
              json["warnings"].end());
}

}  // namespace
}  // namespace wainscot
