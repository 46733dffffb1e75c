#include "io/files/whole_file.hpp"

#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>

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

// The greatest number that a process can have on Linux is 4,194,304 (proc(5), pid_max).
TEST(WholeFile, RemovesWhatAKilledRunLeft) {
  const ReaderFolder folder;
  const auto file = folder.path() / "plan.png";
  folder.write(".plan.png.writing-99999999", "half");
  folder.write(".plan.png.writing-1", "of a process that runs");
  folder.write(".plan.png.writing-mine", "not ours");
  folder.write(".other.writing-99999999", "not asked for");
  std::filesystem::create_directory(folder.path() / ".plans.writing-99999999");
  folder.write(".plans.writing-99999999/map.png", "half");
  check_whole_file_destination(file, false);
  EXPECT_FALSE(std::filesystem::exists(folder.path() / ".plan.png.writing-99999999"));
  EXPECT_TRUE(std::filesystem::exists(folder.path() / ".plan.png.writing-1"));
  EXPECT_TRUE(std::filesystem::exists(folder.path() / ".plan.png.writing-mine"));
  EXPECT_TRUE(std::filesystem::exists(folder.path() / ".other.writing-99999999"));
  remove_what_killed_runs_left(folder.path() / "plans");
  EXPECT_FALSE(std::filesystem::exists(folder.path() / ".plans.writing-99999999"));
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
