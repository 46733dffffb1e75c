#include "io/files/whole_file.hpp"

#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>

#include <sys/stat.h>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

TEST(WholeFile, WritesAndReplacesOnlyWhenTold) {
  const ReaderFolder folder;
  const std::filesystem::path file = folder.path() / "plan.png";
  write_whole_file(file, std::string_view("a\0b", 3), false);
  EXPECT_EQ(bytes_of(file), std::string("a\0b", 3));
  EXPECT_THROW(write_whole_file(file, "new", false), InputError);
  EXPECT_EQ(bytes_of(file).size(), 3U);
  write_whole_file(file, "new", true);
  EXPECT_EQ(bytes_of(file), "new");
}

TEST(WholeFile, LeavesNothingWhereItCannotBeWritten) {
  const ReaderFolder folder;
  EXPECT_THROW(write_whole_file(folder.path() / "absent" / "plan.png", "x", false), InputError);
  std::filesystem::create_directory(folder.path() / "taken");
  EXPECT_THROW(write_whole_file(folder.path() / "taken", "x", true), InputError);
  std::size_t entries = 0;
  for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(folder.path())) ++entries;
  EXPECT_EQ(entries, 1U);
}

TEST(WholeFile, IsThereUnderItsNameOnlyWhenItTookIt) {
  const ReaderFolder folder;
  { const WorkingFile left(folder.path() / "a", "1"); }
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
  WorkingFile file(folder.path() / "a", "1");
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "a"));
  file.take_name();
  EXPECT_EQ(bytes_of(folder.path() / "a"), "1");
}

TEST(WholeFile, RemovesWhatAKilledRunLeft) {
  const ReaderFolder folder;
  const auto left = folder.path() / ".plan.png.writing-a1B2c3";
  std::filesystem::create_directory(left);
  folder.write(".plan.png.writing-a1B2c3/wainscot-writes-here", "");
  folder.write(".plan.png.writing-a1B2c3/made", "half");
  check_whole_file_destination(folder.path() / "plan.png", false);
  EXPECT_FALSE(std::filesystem::exists(left));
}

TEST(WholeFile, ReplacesNothingButPlainFiles) {
  const ReaderFolder folder;
  const auto pipe = folder.path() / "pipe";
  ASSERT_EQ(::mkfifo(pipe.c_str(), 0600), 0);
  EXPECT_THROW(write_whole_file(pipe, "1", true), InputError);
  EXPECT_THROW(check_whole_file_destination(pipe, true), InputError);
  EXPECT_TRUE(std::filesystem::is_fifo(pipe));
  std::filesystem::create_symlink("nowhere", folder.path() / "link");
  EXPECT_THROW(check_whole_file_destination(folder.path() / "link", false), InputError);
  write_whole_file(folder.path() / "link", "1", true);
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "nowhere"));
  EXPECT_EQ(bytes_of(folder.path() / "link"), "1");
}

// Two that ask, find the name free and write at the same time: one has it.
TEST(WholeFile, TheNameMayBeTakenMeanwhile) {
  const ReaderFolder folder;
  WorkingFile first(folder.path() / "a", "1");
  WorkingFile second(folder.path() / "a", "2");
  first.take_name();
  EXPECT_THROW(second.take_name(), InputError);
  EXPECT_EQ(bytes_of(folder.path() / "a"), "1");
}

TEST(WholeFile, StaysOutOfAMap) {
  const ReaderFolder folder;
  folder.write("grid.yaml", "wainscot_map: 1\n");
  EXPECT_THROW(write_whole_file(folder.path() / "grid.yaml", "x", true), InputError);
  EXPECT_THROW(check_whole_file_destination(folder.path() / "plan.png", false), InputError);
  EXPECT_EQ(bytes_of(folder.path() / "grid.yaml"), "wainscot_map: 1\n");
}

TEST(WholeFile, AskingWhetherItCanBeWrittenChangesNothing) {
  const ReaderFolder folder;
  check_whole_file_destination(folder.path() / "new", true);
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
  folder.write("old", "1");
  check_whole_file_destination(folder.path() / "old", true);
  EXPECT_THROW(check_whole_file_destination(folder.path() / "old", false), InputError);
  EXPECT_EQ(bytes_of(folder.path() / "old"), "1");
  EXPECT_THROW(check_whole_file_destination(folder.path() / "absent" / "new", true), InputError);
  EXPECT_THROW(check_whole_file_destination(folder.path(), true), InputError);
}

TEST(WholeFile, NewFileMustBeNew) {
  const ReaderFolder folder;
  write_new_file(folder.path() / "a", "1");
  EXPECT_THROW(write_new_file(folder.path() / "a", "2"), std::runtime_error);
  EXPECT_EQ(bytes_of(folder.path() / "a"), "1");
}

}  // namespace
}  // namespace wainscot
