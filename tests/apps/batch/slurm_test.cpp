#include "apps/batch/slurm.hpp"

#include <filesystem>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/apps/batch/engines.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

class Slurm : public testing::Test {
 protected:
  Slurm() {
    make_batch_folder(batch_);
    programs_.add("sbatch", "echo \"$@\" >> " + (folder_.path() / "asked").string() +
                                "\necho 'sbatch: slow today' >&2\n" + "echo $((41 + $(wc -l < " +
                                (folder_.path() / "asked").string() + ")))';cluster'");
    programs_.add("scontrol", "echo 'MaxArraySize            = 4'; echo 'MaxJobCount = 10'");
    programs_.add("squeue", "printf '42_0\\n42_1\\n43\\n'");
  }
  static std::vector<BatchJob> jobs(int count) {
    std::vector<BatchJob> jobs;
    for (int i = 0; i < count; ++i) jobs.push_back({"h" + std::to_string(i), "/drives", {}});
    return jobs;
  }
  ReaderFolder folder_;
  std::filesystem::path batch_ = folder_.path() / "houses";
  StandInPrograms programs_;
};

TEST_F(Slurm, GetsAnArrayOfBlocksAndATaskThatGathersAfterIt) {
  const SlurmJobs given = give_to_slurm(batch_, jobs(45), {"short", "30", 700});
  EXPECT_EQ(given.array, "42");
  EXPECT_EQ(given.gather, "43");
  EXPECT_EQ(given.tasks, 3U) << "as large as an array may be here";
  const std::string asked = content(folder_.path() / "asked");
  EXPECT_TRUE(has(asked, "--mem=700M --partition=short --time=30 --array=0-2")) << asked;
  EXPECT_TRUE(has(asked, "--dependency=afterany:42")) << asked;
  std::size_t drives = 0;
  for (const char* block : {"0.jsonl", "1.jsonl", "2.jsonl"}) {
    drives += read_job_lines(own_folder(batch_) / "blocks" / block).size();
  }
  EXPECT_EQ(drives, 45U);
  EXPECT_TRUE(has(content(own_folder(batch_) / "drives.sh"), "batch-block . .batch/blocks/\"$SLURM_ARRAY_TASK_ID\""));
  EXPECT_EQ(tasks_in_slurm(batch_), 3U);
}

TEST_F(Slurm, AFewDrivesAreOneTask) { EXPECT_EQ(give_to_slurm(batch_, jobs(3), {"", "", 500}).tasks, 1U); }

TEST_F(Slurm, ItsRefusalIsTold) {
  programs_.add("sbatch", "echo 'sbatch: error: invalid partition specified: short' >&2; exit 1");
  try {
    give_to_slurm(batch_, jobs(1), {"short", "", 500});
    FAIL();
  } catch (const InputError& error) {
    EXPECT_TRUE(has(error.what(), "invalid partition specified")) << error.what();
  }
}

TEST_F(Slurm, WhatHasEndedIsNotLeft) {
  EXPECT_EQ(tasks_in_slurm(batch_), 0U) << "none was given";
  give_to_slurm(batch_, jobs(1), {"", "", 500});
  programs_.add("squeue", "echo 'slurm_load_jobs error: Invalid job id specified' >&2; exit 1");
  EXPECT_EQ(tasks_in_slurm(batch_), 0U);
  programs_.add("squeue", "echo 'Unable to contact slurm controller' >&2; exit 1");
  EXPECT_THROW(tasks_in_slurm(batch_), InputError) << "nobody knows";
}

TEST_F(Slurm, WaitingEndsWithTheGathering) {
  give_to_slurm(batch_, jobs(1), {"", "", 500});
  programs_.add("squeue", "echo 42_0; touch " + (own_folder(batch_) / "gathered").string());
  std::size_t left = 0;
  wait_for_slurm(batch_, [&](std::size_t tasks) { left = tasks; });
  EXPECT_EQ(left, 1U);
}

TEST_F(Slurm, IsAskedForWithItsPackage) { EXPECT_NO_THROW(require_slurm()); }

}  // namespace
}  // namespace wainscot
