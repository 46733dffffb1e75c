#include "apps/batch/batch_folder.hpp"

#include <filesystem>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

TEST(BatchFolder, IsMadeOrGoneOnWithButNotAmongOthersFiles) {
  const ReaderFolder folder;
  const std::filesystem::path batch = folder.path() / "houses";
  make_batch_folder(batch);
  EXPECT_TRUE(std::filesystem::is_directory(own_folder(batch)));
  make_batch_folder(batch);
  folder.write("letters", "");
  EXPECT_THROW(make_batch_folder(folder.path()), InputError);
  EXPECT_THROW(make_batch_folder(folder.path() / "letters"), InputError);
  EXPECT_THROW(make_batch_folder(folder.path() / "no" / "such"), InputError);
}

TEST(BatchFolder, KeepsTheCommand) {
  const ReaderFolder folder;
  EXPECT_THROW(read_batch_command(folder.path()), InputError);
  std::filesystem::create_directory(own_folder(folder.path()));
  write_batch_command(folder.path(), {{"build", "--origin", "1,2,\"3\""}, 2});
  const BatchCommand read = read_batch_command(folder.path());
  EXPECT_EQ(read.words, (std::vector<std::string>{"build", "--origin", "1,2,\"3\""}));
  EXPECT_EQ(read.threads, 2);
  folder.write(".batch/command.json", "{\"wainscot_batch\": 7}");
  EXPECT_THROW(read_batch_command(folder.path()), InputError);
}

TEST(BatchFolder, AJobIsALineThatNoShellMistakes) {
  const BatchJob job{"käse \"1\"\n", "/drives/it's", {"--upright"}};
  const std::string line = job_line(job);
  EXPECT_EQ(line.find('\n'), std::string::npos);
  for (const char c : line) EXPECT_TRUE(c >= ' ' && c <= '~') << line;
  const BatchJob read = job_of_line(line);
  EXPECT_EQ(read.name, job.name);
  EXPECT_EQ(read.drive, job.drive);
  EXPECT_EQ(read.options, job.options);
  for (const char* bad : {"", "{", "{}", "[1]", "{\"name\":1,\"drive\":2,\"options\":3}"}) {
    EXPECT_THROW(job_of_line(bad), InputError) << bad;
  }
}

TEST(BatchFolder, JobsStandOnLines) {
  const ReaderFolder folder;
  write_job_lines(folder.path() / "jobs", {{"a", "/a", {}}, {"b", "/b", {"--upright"}}});
  const auto jobs = read_job_lines(folder.path() / "jobs");
  ASSERT_EQ(jobs.size(), 2U);
  EXPECT_EQ(jobs[1].name, "b");
  EXPECT_THROW(read_job_lines(folder.path() / "none"), InputError);
}

}  // namespace
}  // namespace wainscot
