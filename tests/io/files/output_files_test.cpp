#include "io/files/output_files.hpp"

#include <fstream>
#include <iterator>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

std::string content(const std::filesystem::path& file) {
  std::ifstream in(file);
  return {std::istreambuf_iterator<char>(in), {}};
}

TEST(OutputFiles, AreWrittenIntoANewFolder) {
  const ReaderFolder home;
  const auto folder = home.path() / "new";
  write_output_files({{folder / "a", "1"}, {folder / "b", "2"}}, folder, false);
  EXPECT_EQ(content(folder / "a"), "1");
  EXPECT_EQ(content(folder / "b"), "2");
  EXPECT_THROW(write_output_files({{folder / "a", "3"}}, folder, false), InputError);
  write_output_files({{folder / "a", "3"}}, folder, true);
  EXPECT_EQ(content(folder / "a"), "3");
}

TEST(OutputFiles, AreAllThereOrNone) {
  const ReaderFolder home;
  const auto folder = home.path() / "new";
  EXPECT_THROW(write_output_files({{folder / "a", "1"}, {folder / "absent" / "b", "2"}}, folder, false), InputError);
  EXPECT_FALSE(std::filesystem::exists(folder));
  std::ofstream(home.path() / "there") << "old";
  EXPECT_THROW(write_output_files({{home.path() / "a", "1"}, {home.path() / "there", "2"}}, {}, false), InputError);
  EXPECT_FALSE(std::filesystem::exists(home.path() / "a"));
  EXPECT_EQ(content(home.path() / "there"), "old");
}

// Whoever stops the program while it writes must not find a folder with some of the files.
TEST(OutputFiles, ANewFolderTakesItsNameWhenAllIsInIt) {
  const ReaderFolder home;
  const auto folder = home.path() / "new";
  EXPECT_THROW(write_output_files({{folder / "a", "1"}, {folder / std::string(300, 'n'), "2"}}, folder, false),
               InputError);
  EXPECT_TRUE(std::filesystem::is_empty(home.path()));
  write_output_files({{folder / "." / "a", "1"}, {home.path() / "b", "2"}}, folder / "", false);
  EXPECT_EQ(content(folder / "a"), "1");
  EXPECT_EQ(content(home.path() / "b"), "2");
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(home.path()), {}), 2);
}

TEST(OutputFiles, NoneLiesInAMap) {
  const ReaderFolder home;
  home.write("grid.yaml", "wainscot_map: 1\n");
  EXPECT_THROW(write_output_files({{home.path() / "grid.yaml", "1"}}, {}, true), InputError);
  EXPECT_THROW(write_output_files({{home.path() / "new" / "a", "1"}}, home.path() / "new", true), InputError);
  EXPECT_EQ(content(home.path() / "grid.yaml"), "wainscot_map: 1\n");
  EXPECT_FALSE(std::filesystem::exists(home.path() / "new"));
}

TEST(OutputFiles, HaveNamesOfTheirOwn) {
  const ReaderFolder home;
  EXPECT_THROW(write_output_files({{home.path() / "a", "1"}, {home.path() / "." / "a", "2"}}, {}, true), InputError);
  EXPECT_FALSE(std::filesystem::exists(home.path() / "a"));
}

TEST(OutputFiles, TheFolderIsAFolder) {
  const ReaderFolder home;
  std::ofstream(home.path() / "file") << "x";
  EXPECT_THROW(write_output_files({{home.path() / "file" / "a", "1"}}, home.path() / "file", true), InputError);
  EXPECT_THROW(write_output_files({{home.path() / "b" / "c" / "a", "1"}}, home.path() / "b" / "c", true), InputError);
}

}  // namespace
}  // namespace wainscot
