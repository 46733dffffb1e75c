#include "io/files/output_files.hpp"

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

TEST(OutputFiles, AFolderIsExchangedAndKeepsItsOtherFiles) {
  const ReaderFolder home;
  const auto folder = home.path() / "plans";
  std::filesystem::create_directory(folder);
  std::filesystem::permissions(folder, std::filesystem::perms::owner_all);
  home.write("plans/a", "old");
  home.write("plans/notes.txt", "mine");
  std::filesystem::create_symlink("notes.txt", folder / "link");
  const std::filesystem::path link = home.path() / "link";
  std::filesystem::create_directory_symlink("plans", link);
  struct stat before {};
  ASSERT_EQ(::stat(folder.c_str(), &before), 0);
  write_output_files({{link / "a", "1"}, {link / "b", "2"}, {home.path() / "c", "3"}}, link, true);
  struct stat after {};
  ASSERT_EQ(::stat(folder.c_str(), &after), 0);
  EXPECT_NE(before.st_ino, after.st_ino) << "not in one step";
  EXPECT_EQ(before.st_mode, after.st_mode);
  EXPECT_EQ(content(folder / "a") + content(folder / "b") + content(home.path() / "c"), "123");
  EXPECT_EQ(content(folder / "notes.txt"), "mine");
  EXPECT_TRUE(std::filesystem::is_symlink(folder / "link"));
  EXPECT_TRUE(std::filesystem::is_symlink(link));
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder), {}), 4);
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(home.path()), {}), 3) << "something is left";
}

// A folder in it cannot have a second name, and a shell that stands in it would lose it: then the files change places.
TEST(OutputFiles, AFolderThatCannotBeExchangedStays) {
  const ReaderFolder home;
  const auto folder = home.path() / "plans";
  std::filesystem::create_directories(folder / "letters");
  home.write("plans/letters/dear", "mine");
  home.write("plans/a", "old");
  struct stat before {};
  ASSERT_EQ(::stat(folder.c_str(), &before), 0);
  write_output_files({{folder / "a", "1"}, {folder / "b", "2"}}, folder, true);
  std::filesystem::remove_all(folder / "letters");
  const auto here = std::filesystem::current_path();
  std::filesystem::current_path(folder);
  write_output_files({{"./b", "3"}}, ".", true);
  std::filesystem::current_path(here);
  struct stat after {};
  ASSERT_EQ(::stat(folder.c_str(), &after), 0);
  EXPECT_EQ(before.st_ino, after.st_ino);
  EXPECT_EQ(content(folder / "a") + content(folder / "b"), "13");
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder), {}), 2);
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(home.path()), {}), 1);
}

TEST(OutputFiles, AreLookedAtBeforeTheWork) {
  const ReaderFolder home;
  home.write("there", "old");
  check_output_files({home.path() / "a", {}, home.path() / "new" / "b"}, home.path() / "new", false);
  EXPECT_THROW(check_output_files({home.path() / "a", home.path() / "a"}, {}, true), InputError);
  EXPECT_THROW(check_output_files({home.path() / "new"}, home.path() / "new" / "", true), InputError);
  EXPECT_THROW(check_output_files({home.path() / "there"}, {}, false), InputError);
  EXPECT_THROW(check_output_files({}, home.path() / "absent" / "new", false), InputError);
  EXPECT_THROW(require_different_names({home.path() / "m", home.path() / "x" / ".." / "m" / ""}), InputError);
  require_different_names({home.path() / "m", {}, {}});
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(home.path()), {}), 1);
}

TEST(OutputFiles, AFolderIsFilledWholeOrNotAtAll) {
  const ReaderFolder home;
  const auto folder = home.path() / "drive";
  const auto fill = [](const std::string& text) {
    return [text](const std::filesystem::path& made) { std::ofstream(made / "a") << text; };
  };
  EXPECT_THROW(write_output_folder(folder, false, {},
                                   [](const auto& made) {
                                     std::ofstream(made / "a") << "half";
                                     throw std::runtime_error("No space left on device");
                                   }),
               InputError);
  EXPECT_TRUE(std::filesystem::is_empty(home.path()));
  write_output_folder(folder / "", false, {}, fill("1"));
  EXPECT_THROW(write_output_folder(folder, false, {}, fill("2")), InputError);
  EXPECT_THROW(check_output_folder(folder, false), InputError);
  EXPECT_NO_THROW(check_output_folder(folder, true));
  EXPECT_THROW(check_output_folder("", true), InputError);
  EXPECT_EQ(content(folder / "a"), "1");
  home.write("drive/notes.txt", "mine");
  home.write("drive/old", "of the run before");
  write_output_folder(folder, true, {"a", "old"}, fill("3"));
  EXPECT_EQ(content(folder / "a") + content(folder / "notes.txt"), "3mine");
  EXPECT_FALSE(std::filesystem::exists(folder / "old"));
  std::filesystem::create_directory(folder / "letters");
  EXPECT_THROW(write_output_folder(folder, true, {"a"}, fill("4")), InputError);
  EXPECT_EQ(content(folder / "a"), "3");
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(home.path()), {}), 1) << "something is left";
  home.write("map.yaml", "x");
  EXPECT_THROW(write_output_folder(home.path() / "map.yaml", true, {}, fill("5")), InputError);
  EXPECT_THROW(write_output_folder("", false, {}, fill("6")), InputError);
}

TEST(OutputFiles, TheFolderIsAFolder) {
  const ReaderFolder home;
  std::ofstream(home.path() / "file") << "x";
  EXPECT_THROW(write_output_files({{home.path() / "file" / "a", "1"}}, home.path() / "file", true), InputError);
  EXPECT_THROW(write_output_files({{home.path() / "b" / "c" / "a", "1"}}, home.path() / "b" / "c", true), InputError);
}

}  // namespace
}  // namespace wainscot
