#include "io/files/working_folder.hpp"

#include <filesystem>
#include <fstream>
#include <set>
#include <string>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

std::set<std::string> names_in(const fs::path& folder) {
  std::set<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder)) names.insert(entry.path().filename().string());
  return names;
}

TEST(WorkingFolder, RemovesItselfWithWhatWasMade) {
  const ReaderFolder home;
  {
    const WorkingFolder working(home.path() / "map");
    ASSERT_EQ(names_in(home.path()).size(), 1U);
    EXPECT_EQ(names_in(home.path()).begin()->rfind(".map.writing-", 0), 0U);
    EXPECT_FALSE(fs::exists(working.made()));
    fs::create_directory(working.made());
    std::ofstream(working.made() / "grid.pgm") << "P5";
  }
  EXPECT_TRUE(fs::is_empty(home.path()));
  EXPECT_THROW(WorkingFolder(home.path() / "absent" / "map"), InputError);
  EXPECT_THROW(WorkingFolder("/proc/map"), InputError);
}

TEST(WorkingFolder, TwoStandBesideEachOther) {
  const ReaderFolder home;
  const WorkingFolder first(home.path() / "map");
  const WorkingFolder second(home.path() / "map");
  EXPECT_NE(first.made(), second.made());
  remove_what_killed_runs_left(home.path() / "map");
  EXPECT_EQ(names_in(home.path()).size(), 2U) << "one that is in use was removed";
}

TEST(WorkingFolder, IsBeingWrittenWhileOneLives) {
  const ReaderFolder home;
  EXPECT_FALSE(is_being_written(home.path() / "map"));
  {
    const WorkingFolder working(home.path() / "map");
    EXPECT_TRUE(is_being_written(home.path() / "map"));
    EXPECT_FALSE(is_being_written(home.path() / "another"));
    EXPECT_TRUE(is_being_written(home.path() / "map")) << "to ask takes nothing away";
  }
  EXPECT_FALSE(is_being_written(home.path() / "map"));
  EXPECT_FALSE(is_being_written(home.path() / "absent" / "map"));
}

/// Names that a killed run's folder could have, and what else may stand there.
class KilledRun : public testing::Test {
 protected:
  KilledRun() {
    fs::create_directory(precious_);
    home_.write("precious/letter", "dear");
    home_.write("precious/wainscot-writes-here", "");
  }
  fs::path leave(const std::string& name, bool mark) const {
    fs::path folder = home_.path() / name;
    fs::create_directories(folder / "made");
    std::ofstream(folder / "made" / "grid.pgm") << "P5";
    if (mark) std::ofstream(folder / "wainscot-writes-here").close();
    return folder;
  }
  void clean() const { remove_what_killed_runs_left(home_.path() / "m"); }

  const ReaderFolder home_;
  const fs::path precious_ = home_.path() / "precious";
};

TEST_F(KilledRun, LeavesAFolderThatIsRemoved) {
  const fs::path left = leave(".m.writing-a1B2c3", true);
  std::ofstream(left / "kept-0") << "old";
  fs::create_directory(home_.path() / ".m.writing-empty0");
  clean();
  EXPECT_EQ(names_in(home_.path()), std::set<std::string>{"precious"});
}

TEST_F(KilledRun, IsWritingNoLonger) {
  leave(".m.writing-a1B2c3", true);
  home_.write(".m.writing-number", "a file");
  ASSERT_EQ(::mkfifo((home_.path() / ".m.writing-fifofi").c_str(), 0600), 0);
  EXPECT_FALSE(is_being_written(home_.path() / "m"));
}

TEST_F(KilledRun, NoLinkIsFollowed) {
  fs::create_directory_symlink(precious_, home_.path() / ".m.writing-abcdef");
  fs::create_directory_symlink(precious_, home_.path() / ".m.writing-999999");
  fs::create_symlink(precious_ / "letter", home_.path() / ".m.writing-letter");
  clean();
  EXPECT_EQ(names_in(home_.path()).size(), 4U) << "a link that the program did not make is gone";
  EXPECT_EQ(names_in(precious_).size(), 2U);
  // Links in what it made itself are removed, and what they lead to is not.
  const fs::path left = leave(".m.writing-a1B2c3", true);
  fs::create_directory_symlink(precious_, left / "link");
  fs::create_symlink(precious_ / "letter", left / "made" / "link");
  clean();
  EXPECT_FALSE(fs::exists(left));
  EXPECT_EQ(names_in(precious_).size(), 2U);
}

TEST_F(KilledRun, AMarkThatIsALinkIsNone) {
  const fs::path left = leave(".m.writing-a1B2c3", false);
  fs::create_symlink(precious_ / "letter", left / "wainscot-writes-here");
  clean();
  EXPECT_TRUE(fs::exists(left / "made" / "grid.pgm"));
}

TEST_F(KilledRun, WhatHasNoMarkOrAnotherNameStays) {
  std::set<std::string> all = names_in(home_.path());
  for (const char* name : {".m.writing-unmark", ".m.writing-mine"}) all.insert(leave(name, false).filename().string());
  for (const char* name : {".m.writing-abc", ".m.writing-abcdefg", ".m.writing-a.b.c.", ".mm.writing-abcdef"}) {
    all.insert(leave(name, true).filename().string());
  }
  home_.write(".m.writing-number", "a file");
  all.insert(".m.writing-number");
  ASSERT_EQ(::mkfifo((home_.path() / ".m.writing-fifofi").c_str(), 0600), 0);
  all.insert(".m.writing-fifofi");
  clean();
  EXPECT_EQ(names_in(home_.path()), all);
}

TEST_F(KilledRun, WhatIsLockedStays) {
  const fs::path busy = leave(".m.writing-a1B2c3", true);
  const Descriptor lock(::open((busy / "wainscot-writes-here").c_str(), O_RDWR));
  ASSERT_EQ(::flock(lock.number(), LOCK_EX | LOCK_NB), 0);
  clean();
  EXPECT_TRUE(fs::exists(busy / "made" / "grid.pgm"));
}

TEST_F(KilledRun, AnotherUsersFolderStays) {
  const fs::path left = leave(".m.writing-a1B2c3", true);
  constexpr uid_t nobody = 65534;  // Debian Policy Manual, section 9.2.2
  if (::chown(left.c_str(), nobody, static_cast<gid_t>(-1)) != 0) GTEST_SKIP() << "only root gives folders away";
  clean();
  EXPECT_TRUE(fs::exists(left / "made" / "grid.pgm"));
}

// A folder in what was made is nothing that the program makes.
TEST_F(KilledRun, FoldersInWhatWasMadeStay) {
  const fs::path left = leave(".m.writing-a1B2c3", true);
  fs::create_directory(left / "made" / "letters");
  std::ofstream(left / "made" / "letters" / "dear") << "mine";
  clean();
  EXPECT_EQ(names_in(left), (std::set<std::string>{"made", "wainscot-writes-here"}));
  EXPECT_EQ(names_in(left / "made" / "letters"), std::set<std::string>{"dear"});
  fs::remove_all(left / "made" / "letters");
  clean();
  EXPECT_FALSE(fs::exists(left));
}

}  // namespace
}  // namespace wainscot
