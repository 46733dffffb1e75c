#include "io/overview/overview.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/overview/sample_jobs.hpp"

namespace wainscot {
namespace {

std::vector<std::string> names_of(const Overview& overview) {
  std::vector<std::string> names;
  for (const DriveRow& row : overview.rows) names.push_back(row.name);
  return names;
}

std::string refusal_of(const std::filesystem::path& folder) {
  try {
    read_overview(folder, {});
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}

TEST(Overview, HasARowForEachMapByName) {
  const ReaderFolder folder;
  write_sample_map(folder.path() / "day-10" / "map", 0.288);
  write_sample_map(folder.path() / "day-9", 0.288);
  write_text(folder.path() / "day-2" / "job.json", job_text(2, "no"));
  write_text(folder.path() / "notes" / "a.txt", "x");
  write_text(folder.path() / ".batch" / "drives", "x");
  write_text(folder.path() / "summary.txt", "x");
  std::filesystem::create_directory_symlink(folder.path() / "day-9", folder.path() / "day-9-again");
  std::vector<double> told;
  OverviewOptions options;
  options.progress = [&told](double fraction) { told.push_back(fraction); };
  const Overview overview = read_overview(folder.path(), options);
  EXPECT_EQ(names_of(overview), (std::vector<std::string>{"day-2", "day-9", "day-10"}));
  EXPECT_EQ(overview.passed_over, 1U);
  EXPECT_EQ(overview.fleet.robots.size(), 1U);
  ASSERT_EQ(overview.constants.size(), 2U);
  EXPECT_EQ(overview.constants[0].name, "lidar.x_m");
  EXPECT_EQ(told.size(), 3U);
  EXPECT_EQ(told.back(), 1.0);
}

TEST(Overview, SaysWhatToDoWhereThereIsNothing) {
  const ReaderFolder folder;
  EXPECT_NE(refusal_of(folder.path()).find("has no sub-folder with a map in it; give"), std::string::npos);
  EXPECT_NE(refusal_of(folder.path() / "absent").find("absent: cannot be read"), std::string::npos);
  write_sample_map(folder.path(), 0.288);
  EXPECT_NE(refusal_of(folder.path()).find("is the folder of one map"), std::string::npos);
}

TEST(Overview, CountsVerdicts) {
  std::vector<DriveRow> rows(7, sample_row("d", 0.288));
  rows[1].verdict = "usable";
  rows[2].verdict = "unusable";
  rows[3].verdict = "";
  rows[4].state = RowState::failed;
  rows[4].status = 2;
  rows[5].state = RowState::damaged;
  const OverviewCounts counts = counts_of(rows);
  EXPECT_EQ(counts.good, 2U);
  EXPECT_EQ(counts.maps(), 5U);
  EXPECT_EQ(counts.failed + counts.damaged, 2U);
  EXPECT_EQ(verdict_words(rows[0]), "good");
  EXPECT_EQ(verdict_words(rows[2]), "not to be used");
  EXPECT_EQ(verdict_words(rows[3]), "map without a verdict");
  EXPECT_EQ(verdict_words(rows[4]), "failed, status 2");
  EXPECT_EQ(verdict_words(rows[5]), "damaged");
}

}  // namespace
}  // namespace wainscot
