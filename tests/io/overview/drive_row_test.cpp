#include "io/overview/drive_row.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/io/overview/sample_jobs.hpp"

namespace wainscot {
namespace {

class DriveRowTest : public testing::Test {
 protected:
  DriveRow read(bool picture = false) const { return read_drive_row(job_, picture); }

  const ReaderFolder folder_;
  const std::filesystem::path job_ = folder_.path() / "kitchen";
};

TEST_F(DriveRowTest, HasTheFiguresOfItsMapAndOfItsJob) {
  write_sample_map(job_ / "map", 0.288, "usable", R"(["it slipped","it was lifted"])");
  write_text(job_ / "job.json", job_text(0));
  ASSERT_TRUE(holds_drive_row(job_));
  const DriveRow row = read(true);
  EXPECT_EQ(row.name, "kitchen");
  EXPECT_EQ(row.map, "map");
  EXPECT_EQ(row.state, RowState::mapped);
  EXPECT_TRUE(row.faults.empty());
  EXPECT_EQ(row.status, 0);
  EXPECT_EQ(row.verdict, "usable");
  EXPECT_EQ(row.reason, "because of it");
  EXPECT_TRUE(row.simulated);
  EXPECT_EQ(row.checksum, "abc");
  EXPECT_EQ(row.drive, "/drives/n");
  EXPECT_EQ(row.command, "build --cell-size 0.03");
  EXPECT_EQ(row.path_length_m, 71.5);
  EXPECT_EQ(row.duration_s, 333.25);
  EXPECT_EQ(row.closures, 59.0);
  EXPECT_EQ(row.place_sd_m, 0.003);
  EXPECT_EQ(row.place_sd_worst_m, 0.004);
  EXPECT_EQ(row.scale_sd, 0.001);
  EXPECT_EQ(row.scale_set_by, "wheels");
  EXPECT_EQ(row.warnings, (std::vector<std::string>{"it slipped", "it was lifted"}));
  EXPECT_EQ(row.warning_count, 2U);
  ASSERT_EQ(row.constants.size(), 2U);
  EXPECT_EQ(row.constants[1].name, "drive.track_width_m");
  EXPECT_EQ(row.constants[1].found.value, 0.288);
  EXPECT_TRUE(row.constants[1].observed);
  EXPECT_EQ(row.tapes.tapes, 2U);
  EXPECT_NEAR(row.tapes.worst_m, -0.004, 1e-12);
  EXPECT_NEAR(row.tapes.rms_m, std::sqrt((9e-6 + 16e-6) / 2.0), 1e-12);
  EXPECT_EQ(row.truth.path_rmse_m, 0.0021);
  EXPECT_EQ(row.truth.heading_rmse_deg, 0.066);
  EXPECT_EQ(row.picture.substr(1, 3), "PNG");
}

TEST_F(DriveRowTest, AMapsFolderItselfIsARowToo) {
  write_sample_map(job_, 0.288);
  ASSERT_TRUE(holds_drive_row(job_));
  const DriveRow row = read();
  EXPECT_EQ(row.map, ".");
  EXPECT_EQ(row.state, RowState::mapped);
  EXPECT_FALSE(row.has_job);
  EXPECT_FALSE(row.status);
  EXPECT_TRUE(row.picture.empty());
}

TEST_F(DriveRowTest, AJobWithoutAMapFailed) {
  write_text(job_ / "job.json", job_text(2, "wheels.csv:3: goes back"));
  const DriveRow row = read();
  EXPECT_EQ(row.state, RowState::failed);
  EXPECT_EQ(row.status, 2);
  EXPECT_EQ(row.sentence, "wheels.csv:3: goes back");
  EXPECT_EQ(row.checksum, "def");
  EXPECT_TRUE(std::isnan(row.place_sd_m));
  write_text(job_ / "job.json", job_text(0));
  EXPECT_EQ(read().sentence, "it has no map, and job.json does not say why");
}

TEST_F(DriveRowTest, WhatIsDamagedIsTold) {
  write_text(job_ / "job.json", "{\"wainscot_job\":1,");
  EXPECT_EQ(read().state, RowState::damaged);
  ASSERT_EQ(read().faults.size(), 1U);
  EXPECT_NE(read().faults[0].find("job.json: is no job.json"), std::string::npos);
  write_sample_map(job_ / "map", 0.288);
  EXPECT_EQ(read().state, RowState::mapped) << "the map is as good as before";
  EXPECT_EQ(read().faults.size(), 1U);
  for (const char* summary : {"", "[]", "{}", "{\"wainscot_summary\":2}", "{\"wainscot_summary\":\"1\"}"}) {
    write_text(job_ / "map" / "summary.json", summary);
    const DriveRow row = read(true);
    EXPECT_EQ(row.state, RowState::damaged) << summary;
    EXPECT_NE(row.sentence.find("summary.json"), std::string::npos) << row.sentence;
  }
}

TEST_F(DriveRowTest, AGridThatIsDamagedCostsThePictureOnly) {
  write_sample_map(job_, 0.288);
  write_text(job_ / "grid.pgm", "P5");
  const DriveRow row = read(true);
  EXPECT_EQ(row.state, RowState::mapped);
  EXPECT_TRUE(row.picture.empty());
  ASSERT_EQ(row.faults.size(), 1U);
}

TEST_F(DriveRowTest, ValuesOfAnotherKindAreUnknown) {
  write_text(job_ / "summary.json",
             R"({"wainscot_summary":1,"verdict":7,"drive":[],"graph":null,"quality":{"place_sd_m":-1,"scale_sd":"x"},)"
             R"("warnings":["a\u0007\u001b[2J",3],"tapes":{"a":1},"constants":[1,{"name":"a"},)"
             R"({"name":"huge","found":1e300,"found_sd":1},{"name":"sure","found":1,"found_sd":0}]})");
  const DriveRow row = read();
  EXPECT_EQ(row.state, RowState::mapped);
  EXPECT_EQ(row.verdict, "");
  EXPECT_TRUE(std::isnan(row.place_sd_m));
  EXPECT_TRUE(std::isnan(row.scale_sd));
  EXPECT_TRUE(row.constants.empty());
  ASSERT_EQ(row.warnings.size(), 2U);
  EXPECT_EQ(row.warnings[0], "a\\x07\\x1b[2J");
}

TEST_F(DriveRowTest, ManyWarningsAreCounted) {
  std::string warnings = "[";
  for (int i = 0; i < 500; ++i) warnings += (i > 0 ? ",\"" : "\"") + std::string(2000, 'w') + "\"";
  write_sample_map(job_, 0.288, "good", warnings + "]");
  const DriveRow row = read();
  EXPECT_EQ(row.warning_count, 500U);
  EXPECT_EQ(row.warnings.size(), kMostWarnings);
  EXPECT_LT(row.warnings[0].size(), 1000U);
}

TEST_F(DriveRowTest, AFileBehindALinkIsNotRead) {
  write_text(folder_.path() / "secret.json", summary_text(0.288));
  std::filesystem::create_directory(job_);
  std::filesystem::create_symlink(folder_.path() / "secret.json", job_ / "summary.json");
  const DriveRow row = read();
  EXPECT_EQ(row.state, RowState::damaged);
  EXPECT_TRUE(row.constants.empty());
}

TEST_F(DriveRowTest, OtherFoldersHoldNone) {
  std::filesystem::create_directory(job_);
  EXPECT_FALSE(holds_drive_row(job_));
  write_text(job_ / "notes.txt", "x");
  EXPECT_FALSE(holds_drive_row(job_));
}

TEST(RowState, HasNames) {
  EXPECT_EQ(state_name(RowState::mapped), "mapped");
  EXPECT_EQ(state_name(RowState::failed), "failed");
  EXPECT_EQ(state_name(RowState::damaged), "damaged");
}

}  // namespace
}  // namespace wainscot
