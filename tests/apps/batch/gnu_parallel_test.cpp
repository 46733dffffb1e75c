#include "apps/batch/gnu_parallel.hpp"

#include <cstdlib>
#include <filesystem>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/apps/batch/engines.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

class GnuParallel : public testing::Test {
 protected:
  GnuParallel() { make_batch_folder(batch_); }
  std::string fault() const {
    try {
      run_by_gnu_parallel(batch_, {{"a", "/a", {}}, {"b", "/b", {}}}, 2, [](std::size_t) {});
    } catch (const InputError& error) {
      return error.what();
    }
    return {};
  }
  ReaderFolder folder_;
  std::filesystem::path batch_ = folder_.path() / "houses";
  StandInPrograms programs_;
};

TEST_F(GnuParallel, IsAskedForWithItsPackage) {
  programs_.add("parallel", "echo another program of that name");
  try {
    require_gnu_parallel();
    FAIL();
  } catch (const InputError& error) {
    EXPECT_TRUE(has(error.what(), "sudo apt install parallel")) << error.what();
  }
  programs_.add("parallel", "echo GNU parallel 20221122");
  EXPECT_NO_THROW(require_gnu_parallel());
}

TEST_F(GnuParallel, GetsTheJobsAndTellsHowManyHaveEnded) {
  programs_.add("parallel",
                "pwd > .batch/where; echo \"$@\" > .batch/words\n"
                "printf 'Seq\\n1\\n' > .batch/joblog; sleep 0.2; printf '2\\n' >> .batch/joblog; sleep 0.2; exit 1");
  std::size_t most = 0;
  run_by_gnu_parallel(batch_, {{"a", "/a", {}}, {"b", "/b", {}}}, 3, [&](std::size_t ended) { most = ended; });
  EXPECT_EQ(most, 2U);
  EXPECT_EQ(content(own_folder(batch_) / "where"), batch_.string() + "\n");
  EXPECT_TRUE(has(content(own_folder(batch_) / "words"), "--jobs 3 --retries 3"));
  EXPECT_EQ(read_job_lines(own_folder(batch_) / "todo.jsonl").size(), 2U);
}

TEST_F(GnuParallel, ItsOwnFailureIsTold) {
  programs_.add("parallel", "echo no room; exit 255");
  EXPECT_TRUE(has(fault(), "GNU parallel ended with status 255 (no room)")) << fault();
  programs_.add("parallel", "kill -9 $$");
  EXPECT_TRUE(has(fault(), "status 137")) << fault();
}

}  // namespace
}  // namespace wainscot
