#include "apps/batch/job_list.hpp"

#include <filesystem>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/apps/has.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class JobList : public testing::Test {
 protected:
  JobList() {
    for (const char* drive : {"drives/b", "drives/a"}) {
      fs::create_directories(folder_.path() / drive);
      folder_.write(std::string(drive) + "/robot.yaml", "wainscot_robot: 1\n");
    }
    fs::create_directories(folder_.path() / "drives" / "notes");
    folder_.write("drives/readme", "");
  }
  std::vector<BatchJob> read(const std::string& list, const std::string& command = "build") {
    JobWords words({{command}, 0});
    return read_job_list(folder_.path() / list, folder_.path() / "houses", words, warnings_);
  }
  /// What is wrong with a table of these lines.
  std::string fault(const std::string& table) {
    folder_.write("list.csv", table);
    try {
      read("list.csv");
    } catch (const InputError& error) {
      return error.what();
    }
    return {};
  }

  ReaderFolder folder_;
  std::vector<std::string> warnings_;
};

TEST_F(JobList, AFoldersDrivesByName) {
  const auto jobs = read("drives");
  ASSERT_EQ(jobs.size(), 2U);
  EXPECT_EQ(jobs[0].name, "a");
  EXPECT_EQ(jobs[1].drive, folder_.path() / "drives" / "b");
  ASSERT_EQ(warnings_.size(), 1U);
  EXPECT_TRUE(has(warnings_[0], "1 of its folders passed over, as no drive's: notes")) << warnings_[0];
  EXPECT_THROW(read("drives/notes"), InputError);
  EXPECT_THROW(read("nothing"), InputError);
  EXPECT_THROW(read("drives", "compare"), InputError) << "there are no maps";
}

TEST_F(JobList, ATablesRowsWithOptions) {
  folder_.write("list.csv", "name,drive,cell-size,--upright\none,drives/a,0.1,yes\ntwo,drives/b,,no\n");
  const auto jobs = read("list.csv");
  ASSERT_EQ(jobs.size(), 2U);
  EXPECT_EQ(jobs[0].options, (std::vector<std::string>{"--cell-size=0.1", "--upright"}));
  EXPECT_EQ(jobs[0].drive, folder_.path() / "drives" / "a");
  EXPECT_TRUE(jobs[1].options.empty());
}

TEST_F(JobList, EverythingWrongIsToldWithItsLine) {
  EXPECT_TRUE(has(fault("name,drive\na,drives/a\na,drives/b\n"), "list.csv:3: name 'a' is that of line 2 too"));
  EXPECT_TRUE(has(fault("name,drive\na,drives/c\n"), "drives/c is not there"));
  EXPECT_TRUE(has(fault("name,drive\na,houses/a\n"), "is not there"));
  fs::create_directories(folder_.path() / "houses" / "a");
  EXPECT_TRUE(has(fault("name,drive\na,houses/a\n"), "where the batch writes"));
  EXPECT_TRUE(has(fault("name,drive,paint\na,drives/a,blue\n"), "the column 'paint' is no option of wainscot build"));
  EXPECT_TRUE(has(fault("name,drive,cell-size\na,drives/a,9\n"), "list.csv:2: --cell-size: 9"));
  EXPECT_TRUE(has(fault("name,drive,upright\na,drives/a,1\n"), "is a switch: write yes or no"));
  EXPECT_TRUE(has(fault("drive\ndrives/a\n"), "has no column 'name'"));
  for (const char* name : {"../a", ".a", "-a", "results.csv", "a/b"}) {
    EXPECT_TRUE(has(fault("name,drive\n" + std::string(name) + ",drives/a\n"), "list.csv:2: name ")) << name;
  }
}

}  // namespace
}  // namespace wainscot
