#include "io/convert/log_pass.hpp"

#include <map>
#include <memory>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/convert/columns_yaml.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

const std::string kPassColumns =
    "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: blanks}\n"
    "wheels:\n  where: {1: W}\n  time: {column: 2, unit: ms}\n  left: {column: 3}\n  right: {column: 4}\n"
    "gyro:\n  where: {1: G}\n  time: {column: 2, unit: ms}\n  yaw_rate: {column: 3, unit: deg/s}\n"
    "returns:\n  where: {1: L}\n  time: {column: 2, unit: ms}\n  angle: {column: 3, unit: deg}\n"
    "  range: {column: 4, unit: m}\n";

struct ReadPass {
  explicit ReadPass(const std::string& log) : columns(parse_columns_yaml(kPassColumns, "columns.yaml")) {
    jobs = jobs_of(columns, {});
    std::vector<SectionJob*> all;
    for (SectionJob& job : jobs) {
      job.writer = std::make_unique<TableWriter>(folder.path() / job.file);
      all.push_back(&job);
    }
    LogLines lines(folder.write("a.log", log), warnings);
    result = LogPass(columns, {}, columns.files.front(), lines, all, warnings).run([this] { ++told; });
  }
  ReaderFolder folder;
  LogColumns columns;
  std::vector<SectionJob> jobs;
  std::vector<std::string> warnings;
  ConvertedLog result;
  int told = 0;
};

TEST(LogPass, GivesEachSectionItsRecords) {
  const ReadPass pass("W 0 1 2\nL 1 0 2.5\nG 2 10\nW 3 2 3\n# no record\nHELLO\n");
  ASSERT_EQ(pass.jobs.size(), 3U);
  EXPECT_EQ(pass.jobs[0].file, "wheels.csv");
  EXPECT_EQ(pass.jobs[0].writer->rows(), 2U);
  EXPECT_EQ(pass.jobs[1].file, "gyro.csv");
  EXPECT_EQ(pass.jobs[1].writer->rows(), 1U);
  EXPECT_EQ(pass.jobs[2].file, "returns.csv");
  EXPECT_EQ(pass.jobs[2].writer->rows(), 1U);
  EXPECT_EQ(pass.result.records, 5U);
  EXPECT_EQ(pass.result.others, (std::map<std::string, std::size_t>{{"HELLO", 1U}}));
  EXPECT_EQ(pass.told, 5);
  EXPECT_TRUE(pass.warnings.empty());
}

TEST(LogPass, RefusesALogThatLacksASection) {
  try {
    const ReadPass pass("W 0 1 2\nL 1 0 2.5\n");
    FAIL() << "no refusal";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("correct gyro.where in columns.yaml"), std::string::npos) << error.what();
  }
}

}  // namespace
}  // namespace wainscot
