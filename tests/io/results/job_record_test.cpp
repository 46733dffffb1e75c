#include "io/results/job_record.hpp"

#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

JobRecord some_record() {
  JobRecord record;
  record.program_version = "1.0.0";
  record.name = "flat \"one\"";
  record.command = {"build", "--cell-size", "0.03"};
  record.drive = "/drives/flat";
  record.files = "f";
  record.checksum = "c";
  record.status = 1;
  record.sentence = "the robot never moved";
  record.truth = TruthErrors{0.002, 0.006, 0.066};
  return record;
}

TEST(JobRecord, ComesBackAsItWasWritten) {
  const ReaderFolder folder;
  EXPECT_FALSE(read_job_record(folder.path()));
  std::ofstream(folder.path() / "job.json") << job_record_json(some_record());
  const auto read = read_job_record(folder.path());
  ASSERT_TRUE(read);
  EXPECT_EQ(job_record_json(*read), job_record_json(some_record()));
  EXPECT_EQ(read->sentence, "the robot never moved");
  EXPECT_EQ(read->status, 1);
  EXPECT_DOUBLE_EQ(read->truth->path_worst_m, 0.006);
}

TEST(JobRecord, WhatIsNoneIsRefused) {
  const ReaderFolder folder;
  for (const char* text : {"", "{", "[]", "{\"wainscot_job\": 2}", "{\"wainscot_job\": 1, \"name\": 3}", "\"job\""}) {
    std::ofstream(folder.path() / "job.json") << text;
    EXPECT_THROW(read_job_record(folder.path()), InputError) << text;
  }
}

TEST(JobRecord, BytesThatAreNoTextAreReplaced) {
  JobRecord record = some_record();
  record.drive = "/drives/\xff";
  EXPECT_NE(job_record_json(record).find("/drives/\xEF\xBF\xBD"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
