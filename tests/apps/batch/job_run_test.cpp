#include "apps/batch/job_run.hpp"

#include <csignal>
#include <filesystem>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>

#include <gtest/gtest.h>

#include "apps/batch/job_state.hpp"
#include "io/files/descriptor.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class JobRun : public CommandLine {
 protected:
  JobRun() { fs::create_directory(batch_); }
  JobEnd run_it(const BatchCommand& command = {{"build"}, 1}) const { return run_job(batch_, command, job_); }

  fs::path batch_ = folder_.path() / "houses";
  fs::path own_ = batch_ / "flat";
  BatchJob job_{"flat", drive_, {}};
};

TEST_F(JobRun, MakesTheMapThatBuildMakesAndARecord) {
  ASSERT_EQ(run("build drive --out built --quiet").status, 0);
  EXPECT_EQ(run_it(), JobEnd::recorded);
  for (const auto& file : fs::directory_iterator(folder_.path() / "built")) {
    EXPECT_EQ(content(file.path()), content(own_ / "map" / file.path().filename())) << file.path();
  }
  const auto record = read_job_record(own_);
  ASSERT_TRUE(record);
  EXPECT_EQ(record->status, 0);
  EXPECT_EQ(record->command, (std::vector<std::string>{"build"}));
  ASSERT_TRUE(record->truth);
  EXPECT_LT(record->truth->path_worst_m, 0.05);
  EXPECT_TRUE(has(content(own_ / "said.txt"), "Verdict: "));
  EXPECT_FALSE(fs::exists(own_ / "result.txt")) << "nothing was printed";
}

TEST_F(JobRun, IsNotDoneTwiceUnlessSomethingChanged) {
  ASSERT_EQ(run_it(), JobEnd::recorded);
  const auto written = fs::last_write_time(own_ / "job.json");
  ASSERT_EQ(run_it(), JobEnd::recorded);
  EXPECT_EQ(fs::last_write_time(own_ / "job.json"), written);
  ASSERT_EQ(run_it({{"build", "--cell-size", "0.1"}, 1}), JobEnd::recorded);
  EXPECT_TRUE(has(content(own_ / "map" / "grid.yaml"), "0.1"));
}

TEST_F(JobRun, AFailureIsKeptWithItsSentenceAndNoOldMap) {
  ASSERT_EQ(run_it(), JobEnd::recorded);
  write("scans.csv", "garbage\n");
  ASSERT_EQ(run_it(), JobEnd::recorded);
  const auto record = read_job_record(own_);
  ASSERT_TRUE(record);
  EXPECT_EQ(record->status, 2);
  EXPECT_TRUE(has(record->sentence, "scans.csv:1: the first column is 'garbage'")) << record->sentence;
  EXPECT_FALSE(record->truth);
  EXPECT_FALSE(fs::exists(own_ / "map")) << "it was of other scans";
}

TEST_F(JobRun, WhatOnlyPrintsHasItsResult) {
  ASSERT_EQ(run_it({{"check"}, 1}), JobEnd::recorded);
  EXPECT_TRUE(has(content(own_ / "result.txt"), "driven"));
  EXPECT_FALSE(fs::exists(own_ / "map"));
}

TEST_F(JobRun, WhatTheMachineDidIsNotKept) {
  fs::create_directory(own_);
  fs::create_directory(own_ / "map");
  std::ofstream(own_ / "map" / "letter") << "mine";
  EXPECT_EQ(run_it(), JobEnd::killed) << "the map could not be written there";
  EXPECT_FALSE(fs::exists(own_ / "job.json"));
  EXPECT_EQ(content(own_ / "map" / "letter"), "mine");
}

TEST_F(JobRun, OneAtATime) {
  fs::create_directory(own_);
  const Descriptor other(::open(own_.c_str(), O_RDONLY | O_DIRECTORY));
  ASSERT_EQ(::flock(other.number(), LOCK_EX | LOCK_NB), 0);
  EXPECT_EQ(run_it(), JobEnd::elsewhere);
  EXPECT_FALSE(fs::exists(own_ / "job.json"));
}

}  // namespace
}  // namespace wainscot
