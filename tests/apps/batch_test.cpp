// `wainscot batch` with the real program and the real GNU parallel.

#include "apps/batch.hpp"

#include <csignal>
#include <filesystem>
#include <set>

#include <gtest/gtest.h>

#include "apps/batch/child_process.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"
#include "tests/apps/running_program.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class BatchCommandLine : public CommandLine {
 protected:
  BatchCommandLine() {
    fs::create_directory(drives());
    for (const char* name : {"one", "two", "three"}) {
      fs::copy(drive_, drives() / name);
    }
  }
  void SetUp() override {
    if (!is_installed("parallel")) GTEST_SKIP() << "GNU parallel is not installed";
  }
  fs::path drives() const { return folder_.path() / "drives"; }
  fs::path batch() const { return folder_.path() / "houses"; }
  void spoil(const char* name) const { std::ofstream(drives() / name / "scans.csv") << "garbage\n"; }
  /// What lies about in the batch's folder that should not.
  std::set<std::string> leftovers() const {
    std::set<std::string> names;
    for (const auto& entry : fs::recursive_directory_iterator(batch())) {
      const std::string name = entry.path().filename().string();
      if (has(name, ".writing-")) names.insert(name);
    }
    return names;
  }
};

TEST_F(BatchCommandLine, MapsAreThoseOfBuild) {
  ASSERT_EQ(run("build drives/two --out built --cell-size 0.1 --quiet").status, 0);
  const Outcome outcome = run("batch drives --out houses --jobs 2 -- build --cell-size 0.1");
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_TRUE(has(outcome.out, "3 of 3 done well")) << outcome.out;
  EXPECT_TRUE(has(outcome.err, "3 drives: wainscot build of 3 by GNU parallel, 2 at once")) << outcome.err;
  EXPECT_TRUE(has(outcome.err, "wainscot overview houses")) << outcome.err;
  for (const auto& file : fs::directory_iterator(folder_.path() / "built")) {
    EXPECT_EQ(content(file.path()), content(batch() / "two" / "map" / file.path().filename())) << file.path();
  }
  EXPECT_TRUE(has(content(batch() / "results.csv"), "\nthree,"));
  EXPECT_TRUE(leftovers().empty());
}

TEST_F(BatchCommandLine, WhatWasDoneIsNotDoneAgainAndFailuresOnlyIfAsked) {
  spoil("two");
  const Outcome first = run("batch drives --out houses -- build");
  EXPECT_EQ(first.status, 1);
  EXPECT_TRUE(has(first.out, "1 failed:\n  two: ")) << first.out;
  const auto written = fs::last_write_time(batch() / "one" / "job.json");
  const Outcome second = run("batch drives --out houses -- build");
  EXPECT_EQ(second.status, 1);
  EXPECT_EQ(second.out, first.out);
  EXPECT_TRUE(has(second.err, "3 done before; of those 1 failed, which --again does again")) << second.err;
  const auto failed = fs::last_write_time(batch() / "two" / "job.json");
  EXPECT_TRUE(has(run("batch drives --out houses --again -- build").err, "wainscot build of 1 by"));
  EXPECT_GT(fs::last_write_time(batch() / "two" / "job.json"), failed);
  EXPECT_EQ(fs::last_write_time(batch() / "one" / "job.json"), written);
  fs::copy_file(drive_ / "scans.csv", drives() / "two" / "scans.csv", fs::copy_options::overwrite_existing);
  EXPECT_EQ(run("batch drives --out houses -- build").status, 0) << "the drive is another one now";
  fs::remove(batch() / "three" / "job.json");
  EXPECT_TRUE(has(run("batch drives --out houses -- build").err, "wainscot build of 1 by")) << "as if it was killed";
}

TEST_F(BatchCommandLine, StoppedAndGoneOnWith) {
  for (int i = 0; i < 40; ++i) fs::copy(drive_, drives() / fmt::format("more-{}", i));
  RunningProgram program(folder_.path(), "batch drives --out houses --jobs 2 -- build");
  ASSERT_TRUE(comes_true([&] { return fs::exists(batch() / "more-1" / "job.json"); }));
  program.signal(SIGINT);
  const Outcome stopped = program.end();
  EXPECT_EQ(stopped.status, 128 + SIGINT);
  EXPECT_FALSE(fs::exists(batch() / "two" / "job.json")) << "it was too quick to be stopped";
  EXPECT_EQ(run("batch drives --out houses -- build --quiet").status, 0);
  EXPECT_TRUE(leftovers().empty());
}

TEST_F(BatchCommandLine, OtherCommandsPrintIntoTheirFolders) {
  EXPECT_EQ(run("batch drives --out looked --quiet -- check").status, 0);
  EXPECT_TRUE(has(content(folder_.path() / "looked" / "one" / "result.txt"), "driven"));
  ASSERT_EQ(run("batch drives --out houses --quiet -- build").status, 0);
  EXPECT_EQ(run("batch houses --out compared --quiet -- compare").status, 0);
  EXPECT_TRUE(has(content(folder_.path() / "compared" / "two" / "result.txt"), "odometry alone"));
}

TEST_F(BatchCommandLine, WrongInputIsToldBeforeTheFirstJob) {
  for (const auto& [words, sentence] : std::initializer_list<std::pair<const char*, const char*>>{
           {"batch drives --out houses", "COMMAND is required"},
           {"batch drives --out houses -- follow", "follow is nothing that a batch can do"},
           {"batch drives --out houses -- build --cell-size 9", "--cell-size: 9"},
           {"batch nothing --out houses -- build", "nothing: cannot be opened"},
           {"batch drives --out drives -- build", "where the batch writes"},
           {"batch drives --out drive -- build", "holds other things than a batch"},
           {"batch drives --out houses --wait -- build", "--wait is for --slurm"}}) {
    const Outcome outcome = run(words);
    EXPECT_EQ(outcome.status, 2) << words;
    EXPECT_TRUE(has(outcome.err, sentence)) << outcome.err;
    EXPECT_FALSE(fs::exists(batch())) << words;
  }
}

}  // namespace
}  // namespace wainscot
