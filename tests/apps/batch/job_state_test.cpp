#include "apps/batch/job_state.hpp"

#include <filesystem>

#include <gtest/gtest.h>

#include "tests/apps/has.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class JobState : public testing::Test {
 protected:
  JobState() {
    for (const char* name : {"drive", "houses", "houses/a"}) std::filesystem::create_directory(folder_.path() / name);
    folder_.write("drive/scans.csv", "1");
  }
  void record(int status) const {
    JobRecord record = expected_record(command_, job_);
    record.status = status;
    if (status != 0) record.sentence = "it, \"said\"";
    folder_.write("houses/a/job.json", job_record_json(record));
  }

  ReaderFolder folder_;
  std::filesystem::path batch_ = folder_.path() / "houses";
  BatchCommand command_{{"build"}, 0};
  BatchJob job_{"a", folder_.path() / "drive", {}};
};

TEST_F(JobState, DoneIsWhatWasDoneSoAndOfTheSameBytes) {
  EXPECT_FALSE(done_record(batch_, command_, job_));
  record(1);
  ASSERT_TRUE(done_record(batch_, command_, job_));
  EXPECT_EQ(done_record(batch_, command_, job_)->status, 1);
  EXPECT_FALSE(done_record(batch_, {{"build", "--upright"}, 0}, job_));
  EXPECT_TRUE(done_record(batch_, {{"build"}, 4}, job_)) << "threads change nothing";
  folder_.write("drive/scans.csv", "1");
  EXPECT_TRUE(done_record(batch_, command_, job_)) << "written anew with the same bytes";
  folder_.write("drive/scans.csv", "2");
  EXPECT_FALSE(done_record(batch_, command_, job_));
  record(0);
  EXPECT_TRUE(done_record(batch_, command_, job_));
  JobRecord other = expected_record(command_, job_);
  other.program_version += ".1";
  folder_.write("houses/a/job.json", job_record_json(other));
  EXPECT_FALSE(done_record(batch_, command_, job_)) << "by another version";
  folder_.write("houses/a/job.json", "{");
  EXPECT_FALSE(done_record(batch_, command_, job_)) << "a damaged record is none";
}

TEST_F(JobState, ResultsAsATableAndForPeople) {
  std::vector<BatchJob> jobs = {job_, {"b", "/drives/b", {}}, {"c", "/drives/c", {}}};
  record(2);
  std::filesystem::create_directory(batch_ / "c");
  folder_.write("houses/c/said.txt", "Reading\nwainscot: the disk is full\nmore\n");
  const auto results = job_results(batch_, jobs);
  EXPECT_EQ(results_csv(results), "name,drive,status,sentence\na," + job_.drive.string() +
                                      ",2,\"it, \"\"said\"\"\"\nb,/drives/b,,\"killed, or not begun\"\n"
                                      "c,/drives/c,,the disk is full\n");
  const std::string text = results_text(batch_, results);
  EXPECT_EQ(text.rfind("1 failed:\n  a: it, \"said\"\n2 not done:\n  b: killed, or not begun\n", 0), 0U) << text;
  EXPECT_TRUE(has(text, "0 of 3 done well")) << text;
}

TEST_F(JobState, ManyFailuresAreCutShort) {
  const std::vector<JobResult> results(14, JobResult{"x", "/x", 1, "no"});
  EXPECT_TRUE(has(results_text(batch_, results), "  and 4 more, see results.csv\n"));
}

}  // namespace
}  // namespace wainscot
