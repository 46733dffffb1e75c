#include "apps/batch/worker.hpp"

#include <filesystem>

#include <gtest/gtest.h>

#include "apps/batch/batch_folder.hpp"
#include "core/errors.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

class BatchWorker : public CommandLine {
 protected:
  BatchWorker() {
    make_batch_folder(batch_);
    write_batch_command(batch_, {{"check"}, 1});
    write_job_lines(own_folder(batch_) / "jobs.jsonl", jobs_);
  }
  std::filesystem::path batch_ = folder_.path() / "houses";
  std::vector<BatchJob> jobs_ = {{"a", drive_, {}}, {"b", folder_.path() / "nothing", {}}};
};

TEST_F(BatchWorker, DoesOneJobABlockAndTheGathering) {
  EXPECT_EQ(run_batch_worker({"batch-job", batch_, job_line(jobs_[0])}), 0);
  EXPECT_TRUE(has(content(batch_ / "a" / "result.txt"), "driven"));
  EXPECT_EQ(run_batch_worker({"batch-block", batch_, own_folder(batch_) / "jobs.jsonl"}), 0);
  EXPECT_EQ(run_batch_worker({"batch-gather", batch_}), 0);
  const std::string table = content(batch_ / "results.csv");
  EXPECT_TRUE(has(table, "\na," + drive_.string() + ",0,\n")) << table;
  EXPECT_TRUE(has(table, "nothing: is not a folder")) << table;
  EXPECT_TRUE(std::filesystem::exists(own_folder(batch_) / "gathered"));
}

TEST_F(BatchWorker, OtherWordsAreRefused) {
  EXPECT_TRUE(is_batch_worker({"batch-job"}));
  EXPECT_FALSE(is_batch_worker({"batch"}));
  EXPECT_FALSE(is_batch_worker({}));
  EXPECT_THROW(run_batch_worker({"batch-job", batch_}), InputError);
  EXPECT_THROW(run_batch_worker({"batch-paint"}), InputError);
  EXPECT_THROW(run_batch_worker({"batch-job", folder_.path() / "none", job_line(jobs_[0])}), InputError);
}

}  // namespace
}  // namespace wainscot
