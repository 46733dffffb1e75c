#include "apps/batch/job_inputs.hpp"

#include <filesystem>

#include <gtest/gtest.h>

#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

TEST(JobInputs, AreTheDrivesFilesAndThoseOfOptions) {
  const ReaderFolder folder;
  std::filesystem::create_directories(folder.path() / "drive" / "inner");
  folder.write("drive/b", "2");
  folder.write("drive/a", "1");
  folder.write("tapes", "3");
  const BatchCommand command{{"build", "--tapes=" + (folder.path() / "tapes").string()}, 0};
  const BatchJob job{"x", folder.path() / "drive", {"--cell-size=0.1"}};
  const auto files = job_inputs(command, job);
  ASSERT_EQ(files.size(), 3U);
  EXPECT_EQ(files[0].filename(), "a");
  EXPECT_EQ(files[2].filename(), "tapes");
}

TEST(JobInputs, DigestsTellBytesFromTimes) {
  const ReaderFolder folder;
  const std::vector<std::filesystem::path> files = {folder.write("a", "1"), folder.write("b", "2")};
  const std::string stamps = digest_of_stamps(files);
  const std::string bytes = digest_of_bytes(files);
  EXPECT_EQ(digest_of_stamps(files), stamps);
  std::filesystem::last_write_time(files[0], std::filesystem::file_time_type::clock::now() + std::chrono::hours(1));
  EXPECT_NE(digest_of_stamps(files), stamps);
  EXPECT_EQ(digest_of_bytes(files), bytes);
  folder.write("a", "3");
  EXPECT_NE(digest_of_bytes(files), bytes);
  folder.write("a", "1");
  EXPECT_EQ(digest_of_bytes(files), bytes);
  const std::string missing = digest_of_bytes({folder.path() / "c"});
  folder.write("c", "");
  EXPECT_NE(digest_of_bytes({folder.path() / "c"}), missing) << "what cannot be read is not what is empty";
}

}  // namespace
}  // namespace wainscot
