#include "io/map/map_folder.hpp"

#include <csignal>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <iterator>
#include <map>
#include <set>
#include <string>

#include <fcntl.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class MapFolder : public testing::Test {
 protected:
  void write(bool replace, const std::string& version = "9.8.7") const {
    MapOrigin origin = sample_origin();
    origin.program_version = version;
    write_map(sample_map(), sample_drive(), origin, map_, replace);
  }

  /// Every file of a folder with its bytes.
  static std::map<std::string, std::string> content(const fs::path& folder) {
    std::map<std::string, std::string> files;
    for (const auto& entry : fs::directory_iterator(folder)) {
      std::ifstream in(entry.path(), std::ios::binary);
      files[entry.path().filename().string()] = {std::istreambuf_iterator<char>(in), {}};
    }
    return files;
  }
  std::set<std::string> names() const {
    std::set<std::string> all;
    for (const auto& entry : fs::directory_iterator(folder_.path())) all.insert(entry.path().filename().string());
    return all;
  }

  /// Whether the call throws an InputError of one line that begins with the map's name.
  bool refused(const std::function<void()>& call) const {
    try {
      call();
    } catch (const InputError& error) {
      const std::string what = error.what();
      return what.rfind(folder_.path().string(), 0) == 0 && what.find('\n') == std::string::npos;
    }
    return false;
  }

  /// Runs `work` in a process of its own; the status it ends with, or minus the signal.
  static int status_of(const std::function<int()>& work) {
    const pid_t child = ::fork();
    if (child == 0) ::_exit(work());
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }

  ReaderFolder folder_;
  const fs::path map_ = folder_.path() / "flat";
};

TEST_F(MapFolder, HasAllFilesAndNothingStandsBesideIt) {
  write(false);
  std::set<std::string> files;
  for (const auto& [name, bytes] : content(map_)) {
    files.insert(name);
    EXPECT_FALSE(bytes.empty()) << name;
  }
  EXPECT_EQ(files, (std::set<std::string>{"graph.sqlite", "grid.pgm", "grid.yaml", "odometry.csv", "report.html",
                                          "summary.json", "trajectory.csv"}));
  EXPECT_EQ(names(), std::set<std::string>{"flat"});
}

TEST_F(MapFolder, SameValuesGiveTheSameBytes) {
  write(false);
  const auto first = content(map_);
  write(true);
  EXPECT_EQ(content(map_), first);
}

TEST_F(MapFolder, ReplacesAMapOnlyWhenTold) {
  write(false, "1");
  const auto first = content(map_);
  EXPECT_TRUE(refused([&] { check_map_destination(map_, false); }));
  EXPECT_TRUE(refused([&] { write(false, "2"); }));
  EXPECT_EQ(content(map_), first);
  check_map_destination(map_, true);
  write(true, "2");
  EXPECT_NE(content(map_).at("summary.json"), first.at("summary.json"));
  EXPECT_EQ(names(), std::set<std::string>{"flat"});
}

TEST_F(MapFolder, RefusesWhatIsNotAMapEvenToReplaceIt) {
  fs::create_directory(map_);
  EXPECT_TRUE(refused([&] { check_map_destination(map_, true); }));
  std::ofstream(map_ / "grid.yaml") << "resolution: 1\n";
  EXPECT_TRUE(refused([&] { check_map_destination(map_, true); }));
  fs::remove_all(map_);
  std::ofstream(map_.string()) << "text";
  EXPECT_TRUE(refused([&] { check_map_destination(map_, true); }));
  EXPECT_TRUE(refused([&] { write(true); }));
  EXPECT_TRUE(fs::is_regular_file(map_));
}

TEST_F(MapFolder, RefusesToThrowAwayTheUsersOwnFile) {
  write(false);
  std::ofstream(map_ / "notes.txt") << "mine";
  EXPECT_TRUE(refused([&] { write(true); }));
  EXPECT_TRUE(fs::exists(map_ / "notes.txt"));
}

TEST_F(MapFolder, RefusesAPlaceThatIsNotThereOrCannotBeWritten) {
  EXPECT_TRUE(refused([&] { check_map_destination(folder_.path() / "absent" / "flat", false); }));
  EXPECT_THROW(check_map_destination("/proc/flat", false), InputError);
  EXPECT_THROW(check_map_destination("/", true), InputError);
  EXPECT_TRUE(names().empty());
}

TEST_F(MapFolder, ATrailingSlashIsNoOtherName) {
  write_map(sample_map(), sample_drive(), sample_origin(), map_.string() + "/", false);
  EXPECT_EQ(names(), std::set<std::string>{"flat"});
}

TEST_F(MapFolder, ALinkToAMapStaysALink) {
  write(false);
  const fs::path link = folder_.path() / "link";
  fs::create_directory_symlink(map_, link);
  write_map(sample_map(), sample_drive(), sample_origin(), link, true);
  EXPECT_TRUE(fs::is_symlink(link));
  EXPECT_EQ(content(link).size(), 7U);
}

TEST_F(MapFolder, RemovesWhatAKilledRunLeftButNotWhatAnotherIsWriting) {
  const fs::path stale = folder_.path() / ".flat.writing-aaaaaa";
  const fs::path busy = folder_.path() / ".flat.writing-bbbbbb";
  const fs::path other = folder_.path() / ".flatlet.writing-cccccc";
  for (const fs::path& path : {stale, busy, other}) {
    fs::create_directories(path / "made");
    std::ofstream(path / "wainscot-writes-here").close();
    std::ofstream(path / "made" / "grid.pgm") << "P5";
  }
  const int lock = ::open((busy / "wainscot-writes-here").c_str(), O_RDWR);
  ASSERT_EQ(::flock(lock, LOCK_EX | LOCK_NB), 0);
  check_map_destination(map_, false);
  EXPECT_FALSE(fs::exists(stale));
  EXPECT_TRUE(fs::exists(busy / "made" / "grid.pgm"));
  EXPECT_TRUE(fs::exists(other / "made" / "grid.pgm"));
  ::close(lock);
}

// A disk that is full after so many bytes of a file, as a limit on the size of files makes it; the larger files of a
// map are beyond each of these limits.
TEST_F(MapFolder, AFullDiskLeavesTheOldMap) {
  write(false, "1");
  const auto first = content(map_);
  for (const rlim_t limit : {0U, 10U, 400U, 5000U, 20000U}) {
    const int status = status_of([&] {
      const rlimit most{limit, limit};
      ::setrlimit(RLIMIT_FSIZE, &most);
      std::signal(SIGXFSZ, SIG_IGN);
      return refused([&] { write(true, "2"); }) ? 0 : 1;
    });
    EXPECT_EQ(status, 0) << limit;
    EXPECT_EQ(content(map_), first) << limit;
    EXPECT_EQ(names(), std::set<std::string>{"flat"}) << limit;
  }
}

// Killed at forty moments spread over the writing and replacing, there is always one whole map of one version.
TEST_F(MapFolder, AKillLeavesAWholeMap) {
  write(false, "1");
  const auto first = content(map_);
  write(true, "2");
  const auto second = content(map_);
  ASSERT_NE(first, second);
  for (int i = 0; i < 40; ++i) {
    const pid_t child = ::fork();
    if (child == 0) {
      for (int version = 1;; version = 3 - version) write(true, std::to_string(version));
    }
    ::usleep(static_cast<useconds_t>(1000 + 1700 * i));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    const auto now = content(map_);
    EXPECT_TRUE(now == first || now == second) << i;
  }
  check_map_destination(map_, true);
  EXPECT_EQ(names(), std::set<std::string>{"flat"});
}

}  // namespace
}  // namespace wainscot
