#include "apps/batch/job_words.hpp"

#include <filesystem>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/apps/has.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

using Words = std::vector<std::string>;

TEST(JobWords, EachCommandTakesItsDriveWhereItExpectsIt) {
  const BatchJob job{"a", "/drives/a", {"--upright"}};
  EXPECT_EQ(job_words({{"build", "--cell-size", "0.1"}, 1}, job, false),
            (Words{"build", "/drives/a", "--cell-size", "0.1", "--upright", "--out", "map", "--threads", "1"}));
  EXPECT_EQ(job_words({{"extend", "/maps/flat"}, 0}, {"a", "/drives/a", {}}, true),
            (Words{"extend", "/maps/flat", "/drives/a", "--out", "map", "--replace"}));
  EXPECT_EQ(job_words({{"check", "--threads=2"}, 1}, {"a", "/drives/a", {}}, false),
            (Words{"check", "/drives/a", "--threads=2"}));
  EXPECT_EQ(job_words({{"compare"}, 1}, {"a", "/maps/a", {}}, false), (Words{"compare", "/maps/a"}));
}

TEST(JobWords, OnlyWhatABatchCanDo) {
  for (const Words& words : {Words{}, Words{"follow"}, Words{"build", "--out", "x"}, Words{"build", "--out=x"},
                             Words{"build", "--help"}, Words{"build", "--nonsense"}, Words{"build", "one", "two"},
                             Words{"build", "--cell-size", "9"}, Words{"extend"}}) {
    EXPECT_THROW(JobWords({words, 0}), InputError) << (words.empty() ? "" : words.back());
  }
  EXPECT_NO_THROW(JobWords({{"build", "--cell-size", "0.1", "--upright"}, 0}));
}

TEST(JobWords, WhatIsReadIsNamedFromTheRoot) {
  const ReaderFolder folder;
  folder.write("tapes.csv", "");
  const std::filesystem::path before = std::filesystem::current_path();
  std::filesystem::current_path(folder.path());
  const std::string whole = std::filesystem::current_path() / "tapes.csv";
  const JobWords apart({{"build", "--tapes", "tapes.csv", "--timings", "tapes.csv.json"}, 0});
  const JobWords joined({{"build", "--tapes=tapes.csv"}, 0});
  const JobWords map({{"extend", "tapes.csv"}, 0});
  std::filesystem::current_path(before);
  EXPECT_EQ(apart.command().words, (Words{"build", "--tapes", whole, "--timings", "tapes.csv.json"}));
  EXPECT_EQ(joined.command().words, (Words{"build", "--tapes=" + whole}));
  EXPECT_EQ(map.command().words, (Words{"extend", whole}));
}

TEST(JobWords, AJobsOwnOptionsAreLookedAtWithoutDoingAnything) {
  JobWords words({{"build"}, 1});
  EXPECT_EQ(words.fault_of({"a", "/no/such/drive", {"--cell-size=0.1"}}), "");
  EXPECT_TRUE(has(words.fault_of({"a", "/no/such/drive", {"--cell-size=7"}}), "--cell-size: 7"));
  EXPECT_EQ(words.fault_of({"a", "/no/such/drive", {"--upright"}}), "");
  ASSERT_NE(words.option("upright"), nullptr);
  EXPECT_EQ(words.option("downright"), nullptr);
  EXPECT_TRUE(makes_map(words.command()));
  EXPECT_FALSE(makes_map({{"check"}, 0}));
}

}  // namespace
}  // namespace wainscot
