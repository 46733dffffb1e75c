#include "io/files/plain_file.hpp"

#include <cerrno>
#include <string>

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/without_superuser.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class PlainFile : public testing::Test {
 protected:
  void SetUp() override {
    ::alarm(20);  // what waits for a pipe is to fail, not to wait
    folder_.write("table.csv", "a,b\n");
    ::mkfifo((folder_.path() / "pipe").c_str(), 0600);
    fs::create_symlink("table.csv", folder_.path() / "link");
    fs::create_symlink("/dev/zero", folder_.path() / "endless");
    fs::create_directory(folder_.path() / "folder");
  }
  void TearDown() override { ::alarm(0); }

  std::string said_of(const std::string& name, std::size_t most_bytes) const {
    try {
      read_plain_file(folder_.path(), name, most_bytes);
    } catch (const InputError& error) {
      return std::string(error.what()).substr(folder_.path().string().size() + 1);
    }
    return "";
  }

  ReaderFolder folder_;
};

TEST_F(PlainFile, IsRead) {
  EXPECT_EQ(read_plain_file(folder_.path(), "table.csv", 4), "a,b\n");
  EXPECT_EQ(plain_file(folder_.path(), "table.csv"), folder_.path() / "table.csv");
  EXPECT_EQ(said_of("table.csv", 3).rfind("table.csv: has 4 bytes, and such a file has 3 at most; ", 0), 0U);
}

TEST_F(PlainFile, NothingElseIs) {
  for (const char* name : {"pipe", "link", "endless", "folder"}) {
    EXPECT_EQ(said_of(name, 100).rfind(std::string(name) + ": is a link, a pipe, a device or a folder", 0), 0U) << name;
    EXPECT_THROW(plain_file(folder_.path(), name), InputError) << name;
  }
  EXPECT_EQ(said_of("absent", 100), "absent: cannot be opened (No such file or directory); check the name");
}

TEST_F(PlainFile, IsToldFromALinkWhenOpened) {
  const OpenedFile plain = opened_file(folder_.path() / "table.csv", Links::follow);
  EXPECT_TRUE(plain.is_plain);
  EXPECT_FALSE(plain.is_link);
  EXPECT_EQ(plain.size, 4U);
  const OpenedFile followed = opened_file(folder_.path() / "link", Links::follow);
  EXPECT_TRUE(followed.is_plain);
  EXPECT_TRUE(followed.is_link);
  const OpenedFile refused = opened_file(folder_.path() / "link", Links::refuse);
  EXPECT_FALSE(refused.descriptor.valid());
  EXPECT_TRUE(refused.is_link);
  EXPECT_FALSE(opened_file(folder_.path() / "endless", Links::follow).is_plain);
  EXPECT_FALSE(opened_file(folder_.path() / "pipe", Links::follow).is_plain);
  EXPECT_EQ(opened_file(folder_.path() / "absent", Links::follow).error, ENOENT);
}

TEST_F(PlainFile, LacksThePermission) {
  const fs::path file = folder_.path() / "table.csv";
  fs::permissions(folder_.path(), fs::perms::owner_all | fs::perms::others_exec | fs::perms::group_exec);
  fs::permissions(file, fs::perms::none);
  const std::string said = without_superuser([this] { return said_of("table.csv", 100); });
  EXPECT_EQ(said, "table.csv: cannot be opened (Permission denied); check the permissions");
}

TEST_F(PlainFile, TheStartOfOneIsGivenThroughLinksToo) {
  EXPECT_EQ(file_start(folder_.path() / "table.csv", 3), "a,b");
  EXPECT_EQ(file_start(folder_.path() / "link", 100), "a,b\n");
  for (const char* name : {"pipe", "endless", "folder", "absent"}) {
    EXPECT_EQ(file_start(folder_.path() / name, 100), "") << name;
  }
}

}  // namespace
}  // namespace wainscot
